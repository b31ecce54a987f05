"""All tests of a stage on one record."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from surveys.checks.bdq.catalogue import CATALOGUE
from surveys.checks.bdq.run import applicable, measures, run_bdq
from surveys.checks.policy import decide
from surveys.checks.registry import Finding
from surveys.checks.response import Result

NOW = date(2025, 7, 15)
# a published row of the demo, invented: a zero count in a blurred cell
ROW = {
    "dwc:basisOfRecord": "HumanObservation",
    "dc:type": "Event",
    "dcterms:license": "https://creativecommons.org/licenses/by/4.0/legalcode",
    "dwc:occurrenceID": "https://data.example.org/id/occurrence/1",
    "dwc:occurrenceStatus": "absent",
    "dwc:individualCount": "0",
    "dwc:scientificName": "Lumbricidae",
    "dwc:kingdom": "Animalia",
    "dwc:taxonRank": "family",
    "dwc:eventDate": "2025-04-12",
    "dwc:year": "2025",
    "dwc:month": "4",
    "dwc:day": "12",
    "dwc:startDayOfYear": "102",
    "dwc:endDayOfYear": "102",
    "dwc:country": "United Kingdom",
    "dwc:countryCode": "GB",
    "dwc:decimalLatitude": "52.85",
    "dwc:decimalLongitude": "-0.75",
    "dwc:geodeticDatum": "EPSG:4326",
    "dwc:coordinateUncertaintyInMeters": "7072",
    "dwc:minimumDepthInMeters": "0",
    "dwc:maximumDepthInMeters": "0.2",
    "dwc:dataGeneralizations": "Place given as the centre of a 10 km cell.",
}


def by_label(findings: list[Finding]) -> dict[str, Finding]:
    return {finding.label: finding for finding in findings}


def test_sound_published_row_blocks_nothing() -> None:
    findings = run_bdq(ROW, "published", NOW)
    failed = {one.label for one in findings if one.response.result is Result.NOT_COMPLIANT}

    # neither authorship nor an identifier is published with a family
    assert failed == {
        "VALIDATION_SCIENTIFICNAMEAUTHORSHIP_NOTEMPTY",
        "VALIDATION_SCIENTIFICNAMEID_NOTEMPTY",
    }
    assert {decide(finding) for finding in findings} == {"pass", "note"}
    blurred = by_label(findings)["ISSUE_DATAGENERALIZATIONS_NOTEMPTY"]
    assert blurred.response.result is Result.POTENTIAL_ISSUE


def test_stages_run_their_own_tests() -> None:
    private = {known.label for known in applicable("private")}
    published = {known.label for known in applicable("published")}

    assert "AMENDMENT_EVENTDATE_FROM_VERBATIM" in private - published
    assert "VALIDATION_LICENSE_STANDARD" in published - private
    assert "VALIDATION_EVENTDATE_STANDARD" in private & published


@pytest.mark.parametrize("stage", ["private", "published"])
def test_measures_add_up_to_the_validations(stage: str) -> None:
    findings = run_bdq(
        ROW | {"dwc:day": "x"}, "private" if stage == "private" else "published", NOW
    )
    counted = by_label(findings)
    validations = [finding for finding in findings if finding.kind == "Validation"]

    parts = [
        counted[f"MEASURE_VALIDATIONTESTS_{part}"].response.result
        for part in ("COMPLIANT", "NOTCOMPLIANT", "PREREQUISITESNOTMET")
    ]
    assert all(isinstance(part, int) and part > 0 for part in parts)
    assert sum(part for part in parts if isinstance(part, int)) == len(validations)


def test_proposals_are_counted_before_publication_only() -> None:
    slip = ROW | {"dwc:eventDate": "2025/04/12", "dwc:month": "IV"}

    private = by_label(run_bdq(slip, "private", NOW))
    published = by_label(run_bdq(slip, "published", NOW))

    assert private["MEASURE_AMENDMENTS_PROPOSED"].response.result == 2
    assert decide(private["AMENDMENT_MONTH_STANDARDIZED"]) == "propose"
    assert "MEASURE_AMENDMENTS_PROPOSED" not in published


def test_depth_in_centimetres_is_caught_by_the_soil_limit() -> None:
    # default limit of the standard is the deepest sea, so 20 for 0.2 m would pass
    deep = run_bdq(ROW | {"dwc:maximumDepthInMeters": "20"}, "published", NOW)

    response = by_label(deep)["VALIDATION_MAXDEPTH_INRANGE"].response

    assert response.result is Result.NOT_COMPLIANT
    assert "from 0 to 2." in response.comment


def test_zero_count_without_status_is_never_made_a_presence() -> None:
    terms = {term: value for term, value in ROW.items() if term != "dwc:occurrenceStatus"}
    bare = {term: value for term, value in terms.items() if term != "dwc:individualCount"}
    label = "AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT"

    assert by_label(run_bdq(terms, "private", NOW))[label].response.status == "NOT_AMENDED"
    assert by_label(run_bdq(bare, "private", NOW))[label].response.status == "FILLED_IN"
    assert decide(by_label(run_bdq(bare, "private", NOW))[label]) == "pass"


def test_empty_record_answers_every_test() -> None:
    for stage_findings in (run_bdq({}, "private", NOW), run_bdq({}, "published", NOW)):
        assert all(finding.response.comment for finding in stage_findings)
        assert not any(finding.response.status == "AMENDED" for finding in stage_findings)


def test_measures_without_a_validation_cannot_be_taken() -> None:
    answers = by_label(measures([], "private"))

    counted = answers["MEASURE_VALIDATIONTESTS_COMPLIANT"].response
    assert counted.status == "INTERNAL_PREREQUISITES_NOT_MET"
    assert answers["MEASURE_AMENDMENTS_PROPOSED"].response.result == 0


TERMS = sorted({t for entry in CATALOGUE.values() for t in (*entry.acted_upon, *entry.consulted)})
VALUES = st.one_of(
    st.text(max_size=30),
    st.text("0123456789-/T:.+ eENSWz\u00b0'", max_size=20),
    st.sampled_from(["9999-12-31", "1e999999999", "366", "2024", "EPSG:1", "0", "-1", "EPSG:4979"]),
)


@settings(deadline=None, max_examples=50)
@given(st.dictionaries(st.sampled_from(TERMS), VALUES))
def test_any_text_in_any_term_gets_an_answer(terms: dict[str, str]) -> None:
    before, after = run_bdq(terms, "private", NOW), run_bdq(terms, "published", NOW)

    labels = {finding.label for finding in (*before, *after)}
    assert labels == set(CATALOGUE)
