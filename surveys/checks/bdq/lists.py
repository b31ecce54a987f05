"""Short vocabularies that the tests compare with; nothing is fetched.

Darwin Core classes: Darwin Core of TDWG, version of 2026-05-26, classes usable as basis of
record. Types: DCMI Type Vocabulary. Occurrence status: Darwin Core list of 2023-06-28, and its
successor of 2026-05-26. Ranks: words of the TDWG and botanical and zoological codes of
nomenclature (common practice, no source for completeness).
"""

import csv

from surveys.checks.bdq.catalogue import TABLES

DARWIN_CORE = "Darwin Core basisOfRecord"
BASES_OF_RECORD = frozenset(
    {
        "HumanObservation",
        "MachineObservation",
        "PreservedSpecimen",
        "FossilSpecimen",
        "LivingSpecimen",
        "MaterialSample",
        "MaterialCitation",
        "MaterialEntity",
        "Occurrence",
        "Event",
        "Taxon",
    }
)

DCMI_TYPES = frozenset(
    {
        "Collection",
        "Dataset",
        "Event",
        "Image",
        "InteractiveResource",
        "MovingImage",
        "PhysicalObject",
        "Service",
        "Software",
        "Sound",
        "StillImage",
        "Text",
    }
)

STATUS_2023 = "http://rs.tdwg.org/dwc/terms/version/occurrenceStatus-2023-06-28"
STATUS_2026 = "http://rs.tdwg.org/dwc/terms/version/occurrenceStatus-2026-05-26"
OCCURRENCE_STATUS = {
    STATUS_2023: frozenset({"present", "absent"}),
    STATUS_2026: frozenset({"detected", "notDetected"}),
}

_RANKS = """
    domain superkingdom kingdom subkingdom infrakingdom superphylum phylum subphylum infraphylum
    superclass class subclass infraclass parvclass superlegion legion sublegion infralegion
    supercohort cohort subcohort infracohort superorder order suborder infraorder parvorder
    superfamily family subfamily infrafamily supertribe tribe subtribe infratribe genus subgenus
    infragenus section subsection series subseries speciesAggregate species subspecies
    infraspecificName variety subvariety form subform cultivar cultivarGroup grex strain
"""
RANKS = frozenset(_RANKS.split())


def _countries() -> list[dict[str, str]]:
    with (TABLES / "countries.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


COUNTRIES = _countries()
NO_COUNTRY = frozenset({"XZ", "ZZ"})  # high seas, unknown: user-assigned in ISO 3166-1
COUNTRY_CODES = frozenset(row["alpha_2"] for row in COUNTRIES) | NO_COUNTRY
