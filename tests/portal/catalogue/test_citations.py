"""References in the formats of reference managers."""

import json
import re
from typing import Any

import pytest
from pytest_django import Settings

from portal.archive.edition import edition_of
from portal.archive.metadata import DatasetMetadata, dataset_metadata
from portal.catalogue.citations import FORMATS, bibtex, citation_file, csl_json, ris, sentence
from tests.factories.published import ReleaseFactory

# Fields of csl-data.json of the CSL project that concern a data set: their types are strings but
# for names and dates; the schema allows no others (looked up there, re-keyed here).
CSL_TEXTS = {
    "id", "type", "title", "publisher", "version", "DOI", "URL", "abstract", "keyword",
    "language", "note",
}  # fmt: skip
# Keys of a CITATION.cff 1.2.0 and the form of a DOI and of a day in it (its JSON schema).
CFF_KEYS = {
    "abstract", "authors", "cff-version", "commit", "contact", "date-released", "doi",
    "identifiers", "keywords", "license", "license-url", "message", "preferred-citation",
    "references", "repository", "repository-artifact", "repository-code", "title", "type", "url",
    "version",
}  # fmt: skip
CFF_REQUIRED = {"authors", "cff-version", "message", "title"}
DOI = "10.5555/pits-1"

pytestmark = pytest.mark.django_db


@pytest.fixture
def metadata(settings: Settings) -> DatasetMetadata:
    """Return a description full of characters that some format takes for its own."""
    settings.PUBLIC_URL = "https://data.example.org"
    settings.DATASET = settings.DATASET | {"contact": "data@example.org"}
    release = ReleaseFactory.create(
        number=1,
        title="Pits {of} the\r\nWash & Fen: 50 % #1",
        rights_holder="Sols, Forêts & Cie",
        doi=DOI,
        doi_set_at="2025-07-01T00:00:00Z",
        credits=[{"code": "A", "name": "Quellmoor diggers", "visits": 2}],
    )
    return dataset_metadata(edition_of(release))


@pytest.fixture
def without_doi() -> DatasetMetadata:
    """Return the description of a release that has no DOI and thanks nobody."""
    return dataset_metadata(edition_of(ReleaseFactory.create(number=1)))


def test_sentence_is_the_citation_of_the_release(metadata: DatasetMetadata) -> None:
    assert sentence(metadata) == f"{metadata.citation}\n"
    assert sentence(metadata).endswith(f"Release 1. https://doi.org/{DOI}\n")


def bibtex_fields(text: str) -> dict[str, str]:
    return dict(re.findall(r"^  (\w+) = \{(.*)\},$", text, re.MULTILINE))


def test_bibtex_keeps_names_whole_and_escapes(metadata: DatasetMetadata) -> None:
    text = bibtex(metadata)

    fields = bibtex_fields(text)
    assert fields["author"] == r"{Sols, For{\^{e}}ts \& Cie}"
    assert fields["title"] == r"{Pits \{of\} the  Wash \& Fen: 50 \% \#1}"
    assert fields["doi"] == DOI
    assert fields["url"] == "https://data.example.org/releases/1"
    assert (fields["year"], fields["version"]) == ("2025", "Release 1")
    assert fields["note"].startswith("Partner groups: Quellmoor diggers. Licence:")


def test_bibtex_has_balanced_braces_and_a_plain_key(metadata: DatasetMetadata) -> None:
    text = bibtex(metadata)

    bare = text.replace(r"\{", "").replace(r"\}", "")
    assert bare.count("{") == bare.count("}")
    assert text.isascii()
    assert re.match(r"@misc\{[a-z0-9-]+,\n", text)
    assert text.endswith("\n}\n")


# RIS: two letters, two blanks, hyphen, blank; CR and LF; TY first, ER last (from memory).
def test_ris_has_the_form_of_the_format(metadata: DatasetMetadata) -> None:
    text = ris(metadata)

    lines = text.split("\r\n")
    assert lines.pop() == ""
    assert all(re.fullmatch(r"[A-Z][A-Z0-9]  - .*", line) for line in lines)
    assert not {"\n", "\r"} & set("".join(lines))
    assert (lines[0], lines[-1]) == ("TY  - DATA", "ER  - ")


def test_ris_says_what_the_release_says(metadata: DatasetMetadata) -> None:
    lines = [line.split("  - ", 1) for line in ris(metadata).split("\r\n") if line]

    said = {tag: value for tag, value in lines if tag != "KW"}
    assert said["AU"] == said["PB"] == "Sols, Forêts & Cie"
    assert (said["PY"], said["DA"]) == ("2025", "2025/06/30")
    assert (said["DO"], said["UR"]) == (DOI, "https://data.example.org/releases/1")
    assert [value for tag, value in lines if tag == "KW"] == list(metadata.keywords)


def csl_item(metadata: DatasetMetadata) -> dict[str, Any]:
    (item,) = json.loads(csl_json(metadata))
    found: dict[str, Any] = item
    return found


def test_csl_json_has_fields_and_types_of_the_schema(metadata: DatasetMetadata) -> None:
    item = csl_item(metadata)

    assert set(item) == CSL_TEXTS | {"author", "contributor", "issued"}
    assert all(isinstance(item[name], str) for name in CSL_TEXTS)
    assert item["type"] == "dataset"
    assert item["author"] == [{"literal": "Sols, Forêts & Cie"}]
    assert item["contributor"] == [{"literal": "Quellmoor diggers"}]
    assert item["issued"] == {"date-parts": [[2025, 6, 30]]}
    assert (item["DOI"], item["version"]) == (DOI, "1")


def cff(metadata: DatasetMetadata) -> dict[str, Any]:
    lines = (line.split(": ", 1) for line in citation_file(metadata).splitlines())
    return {name: json.loads(value) for name, value in lines}


def test_citation_file_has_the_keys_of_its_schema(metadata: DatasetMetadata) -> None:
    found = cff(metadata)

    assert set(found) >= CFF_REQUIRED
    assert set(found) <= CFF_KEYS
    assert (found["cff-version"], found["type"]) == ("1.2.0", "dataset")
    assert found["authors"] == [{"name": "Sols, Forêts & Cie"}]
    assert re.fullmatch(r"10\.\d{4,9}(\.\d+)?/[A-Za-z0-9:/_;\-.()\[\]\\]+", found["doi"])
    assert re.fullmatch(r"\d{4}-\d\d-\d\d", found["date-released"])
    assert found["license"] == "CC-BY-4.0"  # SPDX
    assert found["message"].endswith("Partner groups: Quellmoor diggers.")


def test_release_without_doi_names_none(without_doi: DatasetMetadata) -> None:
    assert "doi" not in bibtex_fields(bibtex(without_doi))
    assert "DO  - " not in ris(without_doi)
    assert not {"DOI", "contributor"} & set(csl_item(without_doi))
    assert "doi" not in cff(without_doi)
    assert "Partner groups" not in ris(without_doi)


def test_title_in_another_script_still_gives_a_key() -> None:
    release = ReleaseFactory.create(number=7, title="土の動物")

    item = csl_item(dataset_metadata(edition_of(release)))

    assert item["id"] == "2025-release7"


def test_formats_have_their_own_names_and_types() -> None:
    assert len({one.name for one in FORMATS}) == len(FORMATS)
    assert len({one.media_type for one in FORMATS}) == len(FORMATS)
