"""What each verb answers, and which error stands where there is no answer."""

import pytest
from pytest_django import Settings

from tests.api.harvest.oai.scenes import OAI, ask, day, error_of, headers_of, issue, withdraw

pytestmark = pytest.mark.django_db
DATASET = "identifier=oai:localhost:dataset"
FIRST = "identifier=oai:localhost:release/1"
DC = "{http://www.openarchives.org/OAI/2.0/oai_dc/}dc"


def test_identify_says_who_is_here_and_since_when(settings: Settings) -> None:
    settings.PUBLIC_URL = "https://data.example.org"
    issue(1)

    identity = ask("verb=Identify").find(f"{OAI}Identify")

    assert {element.tag.removeprefix(OAI): element.text for element in identity} == {
        "repositoryName": "Soil animals of paired pits",
        "baseURL": "https://data.example.org/oai",
        "protocolVersion": "2.0",
        "adminEmail": "data@example.org",
        "earliestDatestamp": "2025-06-01T09:30:15Z",
        "deletedRecord": "persistent",
        "granularity": "YYYY-MM-DDThh:mm:ssZ",
    }


def test_identify_answers_before_the_first_release() -> None:
    assert ask("verb=Identify").findtext(f".//{OAI}earliestDatestamp") == "1970-01-01T00:00:00Z"


@pytest.mark.parametrize("query", ["", f"&{DATASET}", f"&{FIRST}"])
def test_formats_are_the_same_for_every_item(query: str) -> None:
    issue(1)

    root = ask(f"verb=ListMetadataFormats{query}")

    assert [e.text for e in root.iter(f"{OAI}metadataPrefix")] == ["oai_dc", "eml"]


def test_record_is_answered_in_the_format_asked_for() -> None:
    issue(1)

    root = ask(f"verb=GetRecord&metadataPrefix=oai_dc&{FIRST}")

    assert headers_of(root) == [("oai:localhost:release/1", "2025-06-01T09:30:15Z", False)]
    assert root.find(f"{OAI}GetRecord/{OAI}record/{OAI}metadata/{DC}") is not None


def test_deleted_record_is_a_header_with_status_alone() -> None:
    issue(1)
    issue(2)
    withdraw(1, day(5))

    for prefix in ("oai_dc", "eml"):
        root = ask(f"verb=GetRecord&metadataPrefix={prefix}&{FIRST}")
        (record,) = root.iter(f"{OAI}record")
        assert headers_of(root) == [("oai:localhost:release/1", "2025-06-05T09:30:15Z", True)]
        assert [child.tag for child in record] == [f"{OAI}header"]


@pytest.mark.parametrize("verb", ["ListRecords", "ListIdentifiers"])
def test_lists_tell_what_stands_and_what_is_deleted(verb: str) -> None:
    issue(1)
    issue(2)
    withdraw(1, day(5))

    root = ask(f"verb={verb}&metadataPrefix=oai_dc")

    assert headers_of(root) == [
        ("oai:localhost:dataset", "2025-06-02T09:30:15Z", False),
        ("oai:localhost:release/2", "2025-06-02T09:30:15Z", False),
        ("oai:localhost:release/1", "2025-06-05T09:30:15Z", True),
    ]
    assert len(root.findall(f".//{DC}")) == (2 if verb == "ListRecords" else 0)
    assert root.find(f".//{OAI}resumptionToken") is None


@pytest.mark.parametrize("verb", ["ListRecords", "ListIdentifiers"])
def test_lists_come_in_pages_to_an_empty_token(verb: str, settings: Settings) -> None:
    settings.OAI_PAGE_SIZE = 2
    for number in range(1, 5):
        issue(number)

    root = ask(f"verb={verb}&metadataPrefix=eml")
    pages = [headers_of(root)]
    while token := root.findtext(f".//{OAI}resumptionToken"):
        root = ask(f"verb={verb}&resumptionToken={token}")
        pages.append(headers_of(root))

    assert [len(page) for page in pages] == [2, 2, 1]
    assert root.find(f".//{OAI}resumptionToken").text is None


@pytest.mark.parametrize(
    ("query", "code"),
    [
        ("verb=Harvest", "badVerb"),
        ("verb=GetRecord", "badArgument"),
        ("verb=ListRecords&metadataPrefix=oai_dc&from=2025-06-31", "badArgument"),
        ("verb=ListRecords&metadataPrefix=oai_dc&until=2000-01-01", "noRecordsMatch"),
        ("verb=ListIdentifiers&metadataPrefix=oai_dc&from=2999-01-01", "noRecordsMatch"),
        ("verb=ListRecords&resumptionToken=junk", "badResumptionToken"),
        ("verb=ListIdentifiers&resumptionToken=junk", "badResumptionToken"),
        ("verb=ListRecords&metadataPrefix=marc21", "cannotDisseminateFormat"),
        ("verb=ListIdentifiers&metadataPrefix=marc21", "cannotDisseminateFormat"),
        (f"verb=GetRecord&metadataPrefix=marc21&{FIRST}", "cannotDisseminateFormat"),
        ("verb=GetRecord&metadataPrefix=eml&identifier=oai:localhost:pit/1", "idDoesNotExist"),
        ("verb=ListMetadataFormats&identifier=oai:other:release/1", "idDoesNotExist"),
        (f"verb=ListMetadataFormats&{FIRST}", "noMetadataFormats"),
        ("verb=ListSets", "noSetHierarchy"),
        ("verb=ListSets&resumptionToken=junk", "noSetHierarchy"),
        ("verb=ListRecords&metadataPrefix=oai_dc&set=pits", "noSetHierarchy"),
    ],
)
def test_errors_have_the_code_of_the_protocol(query: str, code: str) -> None:
    issue(1)
    issue(2)
    withdraw(1, day(5))

    assert error_of(ask(query)) == code


@pytest.mark.parametrize(
    ("query", "repeated"),
    [
        ("verb=Identify", {"verb": "Identify"}),
        (
            "verb=ListRecords&metadataPrefix=marc21&until=2025-01-01",
            {"verb": "ListRecords", "metadataPrefix": "marc21", "until": "2025-01-01"},
        ),
        (
            "verb=ListRecords&resumptionToken=junk",
            {"verb": "ListRecords", "resumptionToken": "junk"},
        ),
        ("verb=Harvest", {}),
        ("verb=ListRecords&metadataPrefix=oai_dc&from=junk", {}),
        ("verb=Identify&colour=red", {}),
    ],
)
def test_arguments_are_repeated_unless_they_are_wrong(query: str, repeated: dict[str, str]) -> None:
    assert dict(ask(query)[1].attrib) == repeated
