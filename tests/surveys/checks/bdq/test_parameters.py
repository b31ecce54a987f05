"""Tests of the standard away from their defaults: parameters, clock and missing lists."""

from datetime import date

import pytest

from surveys.checks.bdq import lists
from surveys.checks.registry import checks_of
from surveys.checks.response import Response

CHECKS = {known.label: known for known in checks_of("bdq")}


def answer(
    label: str,
    terms: dict[str, str],
    now: date = date(2025, 7, 15),
    **parameters: str,
) -> Response:
    asked = {f"bdqval:{name}": value for name, value in parameters.items()}
    (finding,) = CHECKS[label].findings(terms, asked, now)
    return finding.response


def test_event_date_may_lie_anywhere_in_the_current_year() -> None:
    label, terms = "VALIDATION_EVENTDATE_INRANGE", {"dwc:eventDate": "2025-12-31"}

    assert answer(label, terms).result == "COMPLIANT"
    assert answer(label, terms, date(2024, 12, 31)).result == "NOT_COMPLIANT"
    assert answer(label, terms, latestValidDate="2025-07-15").result == "NOT_COMPLIANT"


def test_interval_must_lie_in_the_range_as_a_whole() -> None:
    label = "VALIDATION_EVENTDATE_INRANGE"
    across = {"dwc:eventDate": "2019-12-31/2020-01-02"}

    assert answer(label, across, earliestValidDate="2019").result == "COMPLIANT"
    assert answer(label, across, earliestValidDate="2020").result == "NOT_COMPLIANT"


def test_year_is_judged_by_the_clock_and_by_parameters() -> None:
    label, terms = "VALIDATION_YEAR_INRANGE", {"dwc:year": "2025"}

    assert answer(label, terms).result == "COMPLIANT"
    assert answer(label, terms, date(2024, 12, 31)).result == "NOT_COMPLIANT"
    assert answer(label, terms, latestValidDate="2024-06").result == "NOT_COMPLIANT"


def test_identification_before_the_event_may_be_allowed() -> None:
    label = "VALIDATION_DATEIDENTIFIED_INRANGE"
    terms = {"dwc:dateIdentified": "2025-04-11", "dwc:eventDate": "2025-04-12"}

    assert answer(label, terms).result == "NOT_COMPLIANT"
    assert answer(label, terms, includeEventDate="false").result == "COMPLIANT"
    unreadable = terms | {"dwc:eventDate": "spring"}
    assert answer(label, unreadable).status == "INTERNAL_PREREQUISITES_NOT_MET"
    assert answer(label, unreadable, includeEventDate="false").result == "COMPLIANT"


def test_identification_cannot_lie_in_the_future() -> None:
    terms = {"dwc:dateIdentified": "2025-07-16"}

    response = answer("VALIDATION_DATEIDENTIFIED_INRANGE", terms)

    assert response.result == "NOT_COMPLIANT"
    assert response.code == "date-out-of-range"


def test_newer_words_of_occurrence_status_need_to_be_asked_for() -> None:
    label, terms = "VALIDATION_OCCURRENCESTATUS_STANDARD", {"dwc:occurrenceStatus": "notDetected"}

    assert answer(label, terms).result == "NOT_COMPLIANT"
    assert answer(label, terms, sourceAuthority=lists.STATUS_2026).result == "COMPLIANT"


@pytest.mark.parametrize(
    "label",
    sorted(
        f"{kind}_{name}"
        for kind, end in (("VALIDATION", "STANDARD"), ("AMENDMENT", "STANDARDIZED"))
        for name in (
            f"BASISOFRECORD_{end}",
            f"LICENSE_{end}",
            f"OCCURRENCESTATUS_{end}",
            f"TAXONRANK_{end}",
        )
    ),
)
def test_unknown_list_ends_without_a_verdict(label: str) -> None:
    response = answer(label, {}, sourceAuthority="https://invalid/invalidservice")

    assert response.status == "EXTERNAL_PREREQUISITES_NOT_MET"


def test_default_datum_can_be_another_one() -> None:
    response = answer(
        "AMENDMENT_GEODETICDATUM_ASSUMEDDEFAULT", {}, defaultGeodeticDatum="EPSG:4258"
    )

    assert response.result == {"dwc:geodeticDatum": "EPSG:4258"}


def test_datum_with_uncertainty_needs_a_table_of_shifts() -> None:
    terms = {
        "dwc:decimalLatitude": "52.9",
        "dwc:decimalLongitude": "-0.7",
        "dwc:coordinateUncertaintyInMeters": "50",
    }

    response = answer("AMENDMENT_GEODETICDATUM_ASSUMEDDEFAULT", terms)

    assert response.status == "EXTERNAL_PREREQUISITES_NOT_MET"


@pytest.mark.parametrize(
    ("terms", "values"),
    [
        (
            {"dwc:verbatimLatitude": "52°52'48\"N", "dwc:verbatimLongitude": "0.72 W"},
            {"dwc:decimalLatitude": "52.88", "dwc:decimalLongitude": "-0.72"},
        ),
        (
            {
                "dwc:verbatimLatitude": "52.88",
                "dwc:verbatimCoordinates": "52.88N 0.72W",
                "dwc:verbatimSRS": "WGS 84",
            },
            {
                "dwc:decimalLatitude": "52.88",
                "dwc:decimalLongitude": "-0.72",
                "dwc:geodeticDatum": "EPSG:4326",
            },
        ),
        ({"dwc:verbatimLatitude": "52.80", "dwc:verbatimCoordinates": "52.88N 0.72W"}, None),
        (
            {"dwc:verbatimCoordinates": "52.88N 0.72W", "dwc:verbatimSRS": "some grid"},
            None,
        ),
        (
            {"dwc:verbatimCoordinates": "52.88N 0.72W", "dwc:verbatimSRS": "EPSG:27700"},
            None,
        ),
    ],
    ids=["both axes", "agreeing", "disagreeing", "unknown system", "projected system"],
)
def test_coordinates_are_filled_from_one_consistent_place(
    terms: dict[str, str], values: dict[str, str] | None
) -> None:
    response = answer("AMENDMENT_COORDINATES_FROM_VERBATIM", terms)

    assert response.result == values
    assert response.status == ("FILLED_IN" if values else "NOT_AMENDED")


@pytest.mark.parametrize(
    ("label", "term", "sent", "meant"),
    [
        ("BASISOFRECORD", "dwc:basisOfRecord", " human observation", "HumanObservation"),
        ("BASISOFRECORD", "dwc:basisOfRecord", "PRESERVED_SPECIMEN", "PreservedSpecimen"),
        ("BASISOFRECORD", "dwc:basisOfRecord", "specimen", None),
        ("DCTYPE", "dc:type", "http://purl.org/dc/dcmitype/Event", "Event"),
        ("DCTYPE", "dc:type", "Still Image", "StillImage"),
        ("COUNTRYCODE", "dwc:countryCode", "gbr", "GB"),
        ("COUNTRYCODE", "dwc:countryCode", "United Kingdom", "GB"),
        ("COUNTRYCODE", "dwc:countryCode", "the Bahamas", "BS"),
        ("COUNTRYCODE", "dwc:countryCode", "cote d'ivoire", "CI"),
        ("COUNTRYCODE", "dwc:countryCode", "Congo", None),
        ("DAY", "dwc:day", "05", None),
        ("DAY", "dwc:day", " 5", "5"),
        ("DAY", "dwc:day", "32nd", None),
        ("MONTH", "dwc:month", "Sept.", "9"),
        ("MONTH", "dwc:month", "4", None),
        ("OCCURRENCESTATUS", "dwc:occurrenceStatus", "ABSENT", "absent"),
        ("OCCURRENCESTATUS", "dwc:occurrenceStatus", "maybe", None),
        ("TAXONRANK", "dwc:taxonRank", "Familia", "family"),
        ("TAXONRANK", "dwc:taxonRank", "spp. indet", None),
    ],
)
def test_word_is_proposed_only_for_one_meaning(
    label: str, term: str, sent: str, meant: str | None
) -> None:
    response = answer(f"AMENDMENT_{label}_STANDARDIZED", {term: sent})

    assert response.result == (None if meant is None else {term: meant})


def test_verbatim_date_before_1918_is_said_to_be_gregorian() -> None:
    old = answer("AMENDMENT_EVENTDATE_FROM_VERBATIM", {"dwc:verbatimEventDate": "11-VII-1885"})
    new = answer("AMENDMENT_EVENTDATE_FROM_VERBATIM", {"dwc:verbatimEventDate": "11-VII-1985"})

    assert "Gregorian" in old.comment
    assert "Gregorian" not in new.comment


@pytest.mark.parametrize(
    ("label", "term", "event", "result"),
    [
        # 2024 is a leap year, 2023 is none
        ("STARTDAYOFYEAR", "dwc:startDayOfYear", "2024-12-31", "COMPLIANT"),
        ("STARTDAYOFYEAR", "dwc:startDayOfYear", "2023-12-31", "NOT_COMPLIANT"),
        ("STARTDAYOFYEAR", "dwc:startDayOfYear", "2024-12-31/2025-01-02", "COMPLIANT"),
        ("ENDDAYOFYEAR", "dwc:endDayOfYear", "2023-12-31/2024-12-31", "COMPLIANT"),
        ("ENDDAYOFYEAR", "dwc:endDayOfYear", "2024-12-31/2025-01-02", "NOT_COMPLIANT"),
        ("ENDDAYOFYEAR", "dwc:endDayOfYear", "", None),
    ],
)
def test_day_366_needs_a_leap_year(label: str, term: str, event: str, result: str | None) -> None:
    terms = {term: "366", "dwc:eventDate": event}

    assert answer(f"VALIDATION_{label}_INRANGE", terms).result == result


@pytest.mark.parametrize(
    ("day", "month", "year", "result"),
    [
        ("29", "2", "2024", "COMPLIANT"),
        ("29", "2", "2023", "NOT_COMPLIANT"),
        ("29", "2", "", None),
        ("30", "4", "", "COMPLIANT"),
        ("31", "4", "", "NOT_COMPLIANT"),
        ("31", "13", "2024", None),
        ("0", "4", "2024", "NOT_COMPLIANT"),
    ],
)
def test_day_is_judged_by_its_month(day: str, month: str, year: str, result: str | None) -> None:
    terms = {"dwc:day": day, "dwc:month": month, "dwc:year": year}

    assert answer("VALIDATION_DAY_INRANGE", terms).result == result


@pytest.mark.parametrize(
    ("identifier", "result"),
    [
        ("urn:lsid:example.org:names:1", "COMPLIANT"),
        ("urn:lsid:example.org:names", "NOT_COMPLIANT"),
        ("urn:uuid:0f0f", "COMPLIANT"),
        ("urn:x:", "NOT_COMPLIANT"),
        ("https://example.org/names/1", "COMPLIANT"),
        ("https://example.org/", "NOT_COMPLIANT"),
        ("https://[broken/1", "NOT_COMPLIANT"),
        ("scope:1", "COMPLIANT"),
        ("1234", "NOT_COMPLIANT"),
    ],
)
def test_identifier_says_who_gave_it(identifier: str, result: str) -> None:
    terms = {"dwc:scientificNameID": identifier}

    assert answer("VALIDATION_SCIENTIFICNAMEID_COMPLETE", terms).result == result


@pytest.mark.parametrize(
    ("year", "first", "last", "interval"),
    [
        ("2024", "60", "366", "2024-02-29/2024-12-31"),
        ("2023", "60", "366", None),
        ("2023", "60", "60", None),
        ("2023", "61", "60", None),
        ("2023", "x", "60", None),
        ("99999", "1", "60", None),
    ],
)
def test_interval_is_filled_from_days_of_one_year(
    year: str, first: str, last: str, interval: str | None
) -> None:
    terms = {"dwc:year": year, "dwc:startDayOfYear": first, "dwc:endDayOfYear": last}

    response = answer("AMENDMENT_EVENTDATE_FROM_YEARSTARTDAYOFYEARENDDAYOFYEAR", terms)

    assert response.result == (None if interval is None else {"dwc:eventDate": interval})


def test_lowest_epithet_needs_a_place_of_its_own() -> None:
    label = "VALIDATION_POLYNOMIAL_CONSISTENT"
    name = {"dwc:scientificName": "Aporrectodea caliginosa f. trapezoides (Dugès, 1828)"}

    assert answer(label, name | {"dwc:infraspecificEpithet": "trapezoides"}).result == "COMPLIANT"
    assert answer(label, name | {"dwc:specificEpithet": "trapezoides"}).result == "NOT_COMPLIANT"
