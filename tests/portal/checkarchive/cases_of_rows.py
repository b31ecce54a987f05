"""Archives with a row that breaks a rule, or rows that break one together."""

from dataclasses import replace
from datetime import date

from portal.checkarchive.yardstick import Yardstick
from tests.portal.checkarchive.archives import Draft, flat_draft
from tests.portal.checkarchive.cases import (
    EML,
    EVENTS,
    FACTS,
    FINDS,
    SCOPE,
    Case,
    content,
    eml,
    lines,
    put,
)

SWAPPED_CELL = "POLYGON ((51.23 -1.46, 51.23 -1.45, 51.24 -1.45, 51.24 -1.46, 51.23 -1.46))"
NEXT_CELL = "POLYGON ((-1.45 51.23, -1.44 51.23, -1.44 51.24, -1.45 51.24, -1.45 51.23))"
OPEN_CELL = "POLYGON ((-1.46 51.23, -1.45 51.23, -1.45 51.24, -1.46 51.24))"
NO_QUANTITY = {"organismQuantity": "", "organismQuantityType": ""}
CC0 = "http://creativecommons.org/publicdomain/zero/1.0/legalcode"


def _flat(case: Case) -> Case:
    """Break the rule in the archive of occurrences alone."""
    return replace(case, draft=flat_draft)


def _flat_day(rule: str, text: str) -> Case:
    """Break a rule by the day of a flat row, which the metadata covers."""

    def spoil(draft: Draft) -> None:
        draft.put(FINDS, 2, eventDate=text)
        draft.swap(EML, "<calendarDate>2026-04-12", "<calendarDate>2026")

    return Case(rule, spoil, FINDS, 2, "eventDate", flat_draft)


def _day_before_the_visit(draft: Draft) -> None:
    draft.put(EVENTS, 4, eventDate="2026-04-11", day="11")
    draft.swap(EML, "<calendarDate>2026-04-12", "<calendarDate>2026")


def _two_licences(draft: Draft) -> None:
    """Mix licences in rows whose metadata names both."""
    draft.put(EVENTS, 4, license=CC0)
    draft.swap(EML, "</citetitle></ulink>", f'</citetitle></ulink><ulink url="{CC0}"/>')


def _place(rule: str, at: str, **values: str) -> Case:
    """Break a rule by the place of the visit."""
    return put(rule, EVENTS, 2, at, **values)


def _find(rule: str, at: str, **values: str) -> Case:
    """Break a rule by a find."""
    return put(rule, FINDS, 2, at, **values)


ID_CASES = (
    content("id-empty", FACTS, b"pit-1\tmeasurement-1", b"\tmeasurement-1", 2, "coreid"),
    _flat(put("id-whitespace", FINDS, 2, "id", occurrenceID="occurrence 1")),
    _find("id-differs", "eventID", eventID="pit-2"),
    lines("id-twice", EVENTS, (1, 2, 3, 4, 4), 5, "eventID"),
    _flat(put("id-twice", FINDS, 3, "id", occurrenceID="OCCURRENCE-1")),
    put("occurrence-id-empty", FINDS, 3, occurrenceID=""),
    put("occurrence-id-twice", FINDS, 4, occurrenceID="occurrence-2"),
    put("measurement-id-twice", FACTS, 3, measurementID="measurement-1"),
)

REFERENCE_CASES = (
    put("coreid-orphan", FACTS, 2, coreid="pit-9"),
    put("parent-orphan", EVENTS, 3, parentEventID="visit-9"),
    put("parent-itself", EVENTS, 2, parentEventID="visit-1"),
    lines("parent-later", EVENTS, (1, 3, 2, 4), 2, "parentEventID"),
    put("measurement-orphan", FACTS, 3, occurrenceID="occurrence-9"),
    put("measurement-orphan", FACTS, 3, occurrenceID="occurrence-3"),  # it is of another pit
)

WORD_CASES = (
    _find("basis-word", "basisOfRecord", basisOfRecord="human observation"),
    _find("status-word", "occurrenceStatus", occurrenceStatus="Present"),
    Case(
        "status-word",
        lambda draft: draft.lines(FINDS, 1, 2),
        FINDS,
        2,
        "occurrenceStatus",
        flat_draft,
        Yardstick(profile="2026-05"),
    ),
    _find("status-empty", "occurrenceStatus", occurrenceStatus=""),
    put("status-mixed", FINDS, 3, occurrenceStatus="detected"),
    _find("recommended-word", "establishmentMeans", establishmentMeans="indigenous"),
    put("type-word", EVENTS, 2, type="Survey"),
    put("boolean-word", SCOPE, 3, hasVouchers="False"),
    put("completeness-word", SCOPE, 3, taxonCompletenessReported="complete"),
    _place("country-code", "countryCode", countryCode="gb"),
    _find("life-stage-form", "lifeStage", lifeStage="Adult"),
)

NUMBER_CASES = (
    put("number-form", EVENTS, 3, sampleSizeValue="0,04"),
    _find("quantity-form", "organismQuantity", organismQuantity="many"),
    _find("whole-number-form", "individualCount", individualCount="7.0"),
    put("number-not-positive", EVENTS, 3, sampleSizeValue="0"),
    put("pair-incomplete", EVENTS, 3, sampleSizeUnit=""),
    put("pair-incomplete", FINDS, 2, organismQuantityType=""),
    put("pair-incomplete", SCOPE, 3, totalAreaSampledUnit=""),
    put("range-order", EVENTS, 3, minimumDepthInMeters="0.3"),
    put("absence-with-number", FINDS, 4, individualCount="3", **NO_QUANTITY),
    put("absence-without-zero", FINDS, 4, individualCount=""),
    _find("presence-with-zero", "individualCount", individualCount="0", **NO_QUANTITY),
    _find("count-differs", "organismQuantity", individualCount="8"),
)

DATE_CASES = (
    put("date-form", EVENTS, 4, eventDate="12.04.2026"),
    put("date-form", EVENTS, 4, eventDate="2026-02-30"),
    put("date-form", EVENTS, 4, modified="yesterday"),
    _flat_day("date-order", "2026-04-13T10:00Z/2026-04-12T12:00Z"),
    _flat_day("date-day-interval", "2026-04-12/13"),
    put("date-parts", EVENTS, 4, month="5"),
    _flat_day("date-future", "2026-05-03"),
    Case(
        "date-future",
        lambda draft: draft.lines(FINDS, 1, 2),
        FINDS,
        2,
        "eventDate",
        flat_draft,
        Yardstick(latest_on=date(2026, 4, 11)),
    ),
    Case("date-parent", _day_before_the_visit, EVENTS, 4, "eventDate"),
)

PLACE_CASES = (
    _place("coordinate-pair", "decimalLongitude", decimalLongitude=""),
    _place("coordinate-range", "decimalLatitude", decimalLatitude="91"),
    _place("coordinate-zero", "decimalLatitude", decimalLatitude="0", decimalLongitude="0"),
    _place("coordinate-datum", "geodeticDatum", geodeticDatum=""),
    _place("coordinate-decimals", "decimalLatitude", decimalLatitude="51.2350"),
    _place("precision-value", "coordinatePrecision", coordinatePrecision="1000.00"),
    _place("uncertainty-value", "coordinateUncertaintyInMeters", coordinateUncertaintyInMeters="0"),
    _place(
        "uncertainty-value", "coordinateUncertaintyInMeters", coordinateUncertaintyInMeters="656.9"
    ),
    _place(
        "uncertainty-missing", "coordinateUncertaintyInMeters", coordinateUncertaintyInMeters=""
    ),
    _place(
        "uncertainty-too-small",
        "coordinateUncertaintyInMeters",
        coordinateUncertaintyInMeters="656",
    ),
    _place("footprint-form", "footprintWKT", footprintWKT=OPEN_CELL),
    _place("footprint-not-judged", "footprintWKT", footprintWKT="POINT (-1.455 51.235)"),
    _place("footprint-system", "footprintSRS", footprintSRS=""),
    _place("footprint-axes", "footprintWKT", footprintWKT=SWAPPED_CELL),
    _place("footprint-centre", "footprintWKT", footprintWKT=NEXT_CELL),
)

RIGHTS_CASES = (
    _place("licence-empty", "license", license=""),
    _place("licence-unknown", "license", license="CC-BY-4.0"),
    _place("licence-form", "license", license="https://creativecommons.org/licenses/by/4.0/"),
    Case("licence-mixed", _two_licences, EVENTS, 4, "license"),
)

NAME_CASES = (
    _find("name-empty", "scientificName", scientificName=""),
    _find("name-left-open", "scientificName", scientificName="Lumbricus sp."),
    _find("name-left-open", "scientificName", scientificName="Lumbricidae indet."),
    _find("name-left-open", "scientificName", scientificName="Lumbricus cf. rubellus"),
    _find("name-left-open", "scientificName", scientificName="Lumbricidae?"),
    _find("name-of-group", "scientificName", scientificName="endogeic earthworm"),
    _find("name-form", "scientificName", scientificName="lumbricidae"),
    _find("rank-differs", "taxonRank", taxonRank="genus", scientificName="Lumbricus rubellus"),
    _find("rank-differs", "taxonRank", taxonRank="species"),
    _find("rank-differs", "taxonRank", scientificName="Lumbricus"),
)

SCOPE_CASES = (
    lines("scope-twice", SCOPE, (1, 2, 3, 4, 4), 5, "coreid"),
    replace(lines("scope-row-missing", SCOPE, (1, 2, 3), 4, "eventID"), file=EVENTS),
    put("scope-not-repeated", SCOPE, 3, targetTaxonomicScope=""),
    put("scope-results-above", SCOPE, 2, hasVouchers="false"),
    put("scope-absent-taxa", SCOPE, 4, isAbsenceReported="false"),
    put("scope-effort", SCOPE, 4, isSamplingEffortReported="false"),
)

PRIVACY_CASES = (
    put("generalised-leak", EVENTS, 3, verbatimLocality="behind the barn"),
    put("generalised-leak", FINDS, 2, recordNumber="4711"),
    put("generalised-doubtful", EVENTS, 3, locality="Lower field"),
    put("notice-alone", EVENTS, 3, informationWithheld=""),
    _find("recorder-ids", "recordedByID", recordedByID="https://a.example | https://b.example"),
    _find("recorder-id-form", "recordedByID", recordedByID="0000-0000-0000-0000"),
)

METADATA_CASES = (
    eml("eml-root", ' packageId="pits/1"', ""),
    eml("eml-element-missing", "<title>Pits of earthworms</title>", "<title> </title>", "title"),
    eml("eml-element-advised", "<language>en</language>", "", "language"),
    eml("eml-day", "<pubDate>2026-05-02", "<pubDate>2 May 2026", "pubDate"),
    eml("eml-licence-address", "/licenses/by/4.0", "/licences", "intellectualRights"),
    eml("eml-licence-differs", "<identifier>CC-BY-4.0", "<identifier>CC0-1.0", "licence"),
    Case(
        "eml-box",
        lambda draft: draft.swap(EML, ">51.24<", ">51.234<"),
        EVENTS,
        2,
        "decimalLatitude",
    ),
    _flat(
        Case(
            "eml-days",
            lambda draft: draft.swap(EML, "<calendarDate>2026-04-12", "<calendarDate>2026-04-13"),
            FINDS,
            2,
            "eventDate",
        )
    ),
)


ALL_OF_ROWS = (
    ID_CASES
    + REFERENCE_CASES
    + WORD_CASES
    + NUMBER_CASES
    + DATE_CASES
    + PLACE_CASES
    + RIGHTS_CASES
    + NAME_CASES
    + SCOPE_CASES
    + PRIVACY_CASES
    + METADATA_CASES
)
