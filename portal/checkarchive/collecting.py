"""What is noted of each row, for rules that judge the whole."""

from portal.checkarchive.bench import Bench
from portal.checkarchive.calendar_days import span_of
from portal.checkarchive.decimals import point
from portal.checkarchive.ledger import CoreEntry, Ledger
from portal.checkarchive.subjects import Row, Tally
from portal.checkarchive.vocabulary import EVENT, HUMBOLDT, OCCURRENCE, licence_id, words

SCOPE_TERMS = (
    "targetTaxonomicScope",
    "excludedTaxonomicScope",
    "targetLifeStageScope",
    "excludedLifeStageScope",
    "targetHabitatScope",
    "excludedHabitatScope",
    "targetDegreeOfEstablishmentScope",
    "excludedDegreeOfEstablishmentScope",
    "targetGrowthFormScope",
    "excludedGrowthFormScope",
)
RESULT_TERMS = (
    "absentTaxa",
    "nonTargetTaxa",
    "hasNonTargetTaxa",
    "hasNonTargetOrganisms",
    "isAbundanceReported",
    "isAbundanceCapReported",
    "isLeastSpecificTargetCategoryQuantityInclusive",
    "hasVouchers",
    "hasMaterialSamples",
)
# What could lead back to a place or person that a row hides, whatever the value.
LEAKS = (
    "verbatimCoordinates",
    "verbatimLatitude",
    "verbatimLongitude",
    "verbatimCoordinateSystem",
    "verbatimSRS",
    "verbatimLocality",
    "verbatimElevation",
    "verbatimDepth",
    "verbatimLabel",
    "fieldNumber",
    "fieldNotes",
    "recordNumber",
    "siteNumber",
    "locationRemarks",
    "eventRemarks",
    "minimumElevationInMeters",
    "maximumElevationInMeters",
    "georeferencedBy",
    "associatedMedia",
    "otherCatalogNumbers",
    "verbatimSiteNames",
    "verbatimSiteDescriptions",
    "geospatialScopeAreaValue",
    "geospatialScopeAreaUnit",
)
# What may be shown if it names a region, which only a person can tell.
DOUBTFUL = ("locality", "verbatimEventDate", "georeferenceSources")
_MOST_WORDS = 100
_SECRETS = frozenset(LEAKS + DOUBTFUL)


def collect(row: Row, file: str, number: int, bench: Bench) -> None:
    """Note a row."""
    ledger = bench.ledger
    if row.file.is_core:
        _core(row, file, number, ledger)
    else:
        ledger.enter("link", (row.core_id, file, number))
        if row.file.row_type == HUMBOLDT:
            bits = (_bits(row, SCOPE_TERMS), _bits(row, RESULT_TERMS))
            ledger.enter("scope", (row.core_id, *bits, file, number))
    _ids(row, file, number, ledger)
    for name in row.keys() & _SECRETS:
        if row[name]:
            ledger.enter("secret", (row.core_id, name, row[name], file, number))
    _words(row, file, number, bench.tally)
    _extents(row, file, number, bench.tally)


def names_in(bits: int, terms: tuple[str, ...]) -> list[str]:
    """Return the terms whose bits are set."""
    return [term for place, term in enumerate(terms) if bits & 1 << place]


def _bits(row: Row, terms: tuple[str, ...]) -> int:
    return sum(1 << place for place, term in enumerate(terms) if row[term])


def _core(row: Row, file: str, number: int, ledger: Ledger) -> None:
    span = span_of(row["eventDate"]) if row["eventDate"] else None
    entry = CoreEntry(
        row.core_id,
        row.core_id.casefold(),
        row["parentEventID"] if row.file.row_type == EVENT else "",
        span.first_on.isoformat() if span else None,
        span.last_on.isoformat() if span else None,
        bool(row["dataGeneralizations"]),
        file,
        number,
    )
    ledger.enter("core", entry)


def _ids(row: Row, file: str, number: int, ledger: Ledger) -> None:
    occurrence = row["occurrenceID"]
    if row.file.row_type == OCCURRENCE:
        if occurrence and not (row.file.is_core and occurrence == row.core_id):
            ledger.enter("occurrence", (occurrence, row.core_id, file, number))
    elif row["measurementID"] or occurrence:
        ledger.enter("measurement", (row["measurementID"], occurrence, row.core_id, file, number))


def _words(row: Row, file: str, number: int, tally: Tally) -> None:
    if status := row["occurrenceStatus"]:
        generation = words("occurrenceStatus").get(status)
        if generation and generation not in tally.generations:
            tally.generations[generation] = (status, file, number)
    if licence := row["license"]:
        name = licence_id(licence) or licence
        if name not in tally.licences and len(tally.licences) < _MOST_WORDS:
            tally.licences[name] = (licence, file, number)


def _extents(row: Row, file: str, number: int, tally: Tally) -> None:
    if place := point(row["decimalLongitude"], row["decimalLatitude"]):
        tally.longitude.widen(place[0], file, number)
        tally.latitude.widen(place[1], file, number)
    span = span_of(row["eventDate"]) if row["eventDate"] else None
    if span is None:
        return
    if tally.first_day is None or span.first_on < tally.first_day[0]:
        tally.first_day = (span.first_on, file, number)
    if tally.last_day is None or span.last_on > tally.last_day[0]:
        tally.last_day = (span.last_on, file, number)
