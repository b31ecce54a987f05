"""The bundled lists, against the standards where copies lie on this machine."""

import csv
from pathlib import Path

import pytest
from django.conf import settings

from portal.checkarchive.vocabulary import DCTERMS, DWC, ECO, EVENT, licence_id, terms, words

STANDARDS = Path(settings.BASE_DIR).parent / "shared" / "standards"

needs_standards = pytest.mark.skipif(
    not STANDARDS.is_dir(), reason="no copies of the standards here"
)


def _rows(path: str) -> list[dict[str, str]]:
    with (STANDARDS / path).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@needs_standards
@pytest.mark.parametrize(
    "path", ["darwin-core/terms/dwc_terms_current.csv", "humboldt/eco_terms_current.csv"]
)
def test_terms_and_their_status_are_those_of_the_lists(path: str) -> None:
    listed = {row["term_iri"]: row["status"] == "deprecated" for row in _rows(path)}

    assert {iri: terms()[iri].is_deprecated for iri in listed} == listed


@needs_standards
def test_first_version_of_a_term_is_that_of_its_history() -> None:
    issued: dict[str, list[str]] = {}
    for row in _rows("darwin-core/terms/term_versions.csv"):
        issued.setdefault(row["term_iri"], []).append(row["issued"])

    known = {iri: term.since for iri, term in terms().items() if iri in issued}

    assert known == {iri: min(issued[iri]) for iri in known}
    assert len(known) > 600


@needs_standards
def test_row_types_are_known_as_classes() -> None:
    row_types = [row["row_type"] for row in _rows("darwin-core/text/rowtypes.csv")]

    assert [terms()[row_type].is_class for row_type in row_types] == [True] * 5


@needs_standards
def test_licences_are_known_by_every_address() -> None:
    for row in _rows("licences/licences.csv"):
        addresses = (row["deed_uri"], row["legalcode_uri"], row["spdx_uri"])
        assert [licence_id(address) for address in addresses] == [row["spdx_id"]] * 3


@pytest.mark.parametrize(
    "address",
    [
        "https://creativecommons.org/licenses/by/4.0/",
        "http://creativecommons.org/licenses/by/4.0/legalcode",
        "http://creativecommons.org/licenses/by/4.0",
        "https://spdx.org/licenses/CC-BY-4.0.html",
    ],
)
def test_licence_is_known_with_or_without_tls(address: str) -> None:
    assert licence_id(address) == "CC-BY-4.0"


def test_words_of_the_lists() -> None:
    # TDWG taxon completeness 2024-02-28 and boolean values 2023-03-13; Darwin Core 2026-05-26.
    assert set(words("taxonCompletenessReported")) == {
        "notReported",
        "reportedComplete",
        "reportedIncomplete",
    }
    assert set(words("boolean")) == {"true", "false"}
    assert words("occurrenceStatus") == {
        "present": "2023-09",
        "absent": "2023-09",
        "detected": "2026-05",
        "notDetected": "2026-05",
    }


def test_terms_of_every_vocabulary_are_there() -> None:
    # Dublin Core terms 2008-02-11; Humboldt Extension 2024-02-28.
    assert not terms()[f"{DCTERMS}license"].is_class
    assert not terms()[f"{ECO}targetTaxonomicScope"].is_deprecated
    assert terms()[EVENT].is_class
    assert terms()[f"{DWC}individualID"].is_deprecated
