"""Controlled words, letter by letter."""

import re
from collections.abc import Iterator

from portal.checkarchive import vocabulary
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row, Whole
from portal.checkarchive.vocabulary import HUMBOLDT, OCCURRENCE

Problems = Iterator[Problem]
_DWC = "Darwin Core term"
_RECOMMENDED = (
    "establishmentMeans",
    "degreeOfEstablishment",
    "pathway",
    "eventCategory",
    "preferredSpatialRepresentation",
)
_YES_OR_NO = (
    "areNonTargetTaxaFullyReported",
    "hasMaterialSamples",
    "hasNonTargetOrganisms",
    "hasNonTargetTaxa",
    "hasVouchers",
    "isAbsenceReported",
    "isAbundanceCapReported",
    "isAbundanceReported",
    "isDegreeOfEstablishmentScopeFullyReported",
    "isGrowthFormScopeFullyReported",
    "isLeastSpecificTargetCategoryQuantityInclusive",
    "isLifeStageScopeFullyReported",
    "isSamplingEffortReported",
    "isTaxonomicScopeFullyReported",
    "isVegetationCoverReported",
)
_COUNTRY = re.compile(r"[A-Z]{2}", re.ASCII)
_LIFE_STAGE = re.compile(r"[a-z][^|]*")


@rule("basis-word", "row", f"{_DWC} basisOfRecord", needs=("basisOfRecord",))
def basis(row: Row) -> Problems:
    """Write a class of the standard, such as HumanObservation, in every row."""
    value = row["basisOfRecord"]
    is_due = row.file.row_type == OCCURRENCE or value
    if is_due and value not in vocabulary.words("basisOfRecord"):
        yield Problem("basisOfRecord", value)


@rule(
    "status-word",
    "row",
    f"{_DWC} occurrenceStatus, 2023-06-28 and 2026-05-26",
    needs=("occurrenceStatus",),
)
def status(row: Row) -> Problems:
    """Write present or absent (2023-09), or detected or notDetected (2026-05)."""
    value = row["occurrenceStatus"]
    generation = vocabulary.words("occurrenceStatus").get(value)
    asked_for = row.yardstick.profile
    if value and (generation is None or asked_for not in {None, generation}):
        yield Problem("occurrenceStatus", value)


@rule(
    "status-empty",
    "row",
    f"{_DWC} occurrenceStatus",
    severity="warning",
    needs=("occurrenceStatus",),
)
def status_empty(row: Row) -> Problems:
    """Say of every occurrence whether it was found."""
    if row.file.row_type == OCCURRENCE and not row["occurrenceStatus"]:
        yield Problem("occurrenceStatus")


@rule("status-mixed", "whole", f"{_DWC} occurrenceStatus, 2023-06-28 and 2026-05-26")
def status_mixed(whole: Whole) -> Problems:
    """Use the words of one generation of the standard in the whole archive."""
    later = sorted(whole.tally.generations.values(), key=lambda place: place[1:])[1:]
    for value, file, row in later:
        yield Problem("occurrenceStatus", value, row, file)


@rule(
    "recommended-word",
    "row",
    "TDWG controlled vocabularies",
    severity="warning",
    needs=_RECOMMENDED,
)
def recommended(row: Row) -> Problems:
    """Use a word of the controlled vocabulary, or leave the field empty."""
    for term in _RECOMMENDED:
        if row[term] and row[term] not in vocabulary.words(term):
            yield Problem(term, row[term])


@rule("type-word", "row", "DCMI Type Vocabulary 2008-02-11", needs=("type",))
def type_word(row: Row) -> Problems:
    """Write a type of the DCMI list, such as Event."""
    if row["type"] and row["type"] not in vocabulary.words("type"):
        yield Problem("type", row["type"])


@rule("boolean-word", "row", "Humboldt Extension 2024-02-28; TDWG boolean values", needs=_YES_OR_NO)
def boolean(row: Row) -> Problems:
    """Write true or false, in lower case."""
    for term in _YES_OR_NO:
        if row[term] and row[term] not in vocabulary.words("boolean"):
            yield Problem(term, row[term])


@rule(
    "completeness-word",
    "row",
    "TDWG taxon completeness values 2024-02-28",
    needs=("taxonCompletenessReported",),
)
def completeness(row: Row) -> Problems:
    """Write notReported, reportedComplete or reportedIncomplete."""
    value = row["taxonCompletenessReported"]
    is_due = row.file.row_type == HUMBOLDT and value
    if is_due and value not in vocabulary.words("taxonCompletenessReported"):
        yield Problem("taxonCompletenessReported", value)


@rule(
    "country-code",
    "row",
    "ISO 3166-1 alpha-2; Darwin Core term countryCode",
    needs=("countryCode",),
)
def country_code(row: Row) -> Problems:
    """Write the two capital letters of the country."""
    if row["countryCode"] and not _COUNTRY.fullmatch(row["countryCode"]):
        yield Problem("countryCode", row["countryCode"])


@rule(
    "life-stage-form", "row", f"{_DWC} lifeStage: examples", severity="note", needs=("lifeStage",)
)
def life_stage(row: Row) -> Problems:
    """Write one life stage in lower case, such as adult."""
    if row["lifeStage"] and not _LIFE_STAGE.fullmatch(row["lifeStage"]):
        yield Problem("lifeStage", row["lifeStage"])
