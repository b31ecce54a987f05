"""Arguments of a request, by the protocol (OAI-PMH 2.0, sections 3.1.1 and 4; from memory)."""

from urllib.parse import parse_qs

import pytest

from api.harvest.oai.arguments import read_arguments
from api.harvest.oai.faults import Fault

ID = "identifier=oai:localhost:dataset"


def parsed(query: str) -> dict[str, list[str]]:
    return parse_qs(query, keep_blank_values=True)


@pytest.mark.parametrize(
    "query",
    [
        "verb=Identify",
        "verb=ListMetadataFormats",
        f"verb=ListMetadataFormats&{ID}",
        "verb=ListSets",
        "verb=ListSets&resumptionToken=x",
        f"verb=GetRecord&metadataPrefix=oai_dc&{ID}",
        "verb=ListRecords&metadataPrefix=eml",
        "verb=ListRecords&metadataPrefix=eml&from=2025-01-01&until=2025-01-02&set=a:b",
        "verb=ListIdentifiers&resumptionToken=",
    ],
)
def test_well_formed_arguments_are_taken_as_they_are(query: str) -> None:
    assert read_arguments(parsed(query)) == {
        name: values[0] for name, values in parsed(query).items()
    }


@pytest.mark.parametrize(
    "query", ["", "verb=", "verb=identify", "verb=Delete", "verb=Identify&verb=Identify", "Verb=x"]
)
def test_verb_must_be_there_once_and_known(query: str) -> None:
    with pytest.raises(Fault) as caught:
        read_arguments(parsed(query))

    assert caught.value.code == "badVerb"


@pytest.mark.parametrize(
    "query",
    [
        "verb=Identify&colour=red",
        f"verb=Identify&{ID}",
        "verb=ListMetadataFormats&metadataPrefix=eml",
        "verb=ListSets&set=a",
        f"verb=GetRecord&{ID}",
        "verb=GetRecord&metadataPrefix=oai_dc",
        f"verb=GetRecord&metadataPrefix=oai_dc&{ID}&{ID}",
        f"verb=GetRecord&metadataPrefix=oai_dc&{ID}&resumptionToken=x",
        "verb=ListRecords",
        "verb=ListRecords&metadataPrefix=oai_dc&metadataPrefix=eml",
        "verb=ListRecords&metadataPrefix=oai_dc&resumptionToken=x",
        "verb=ListIdentifiers&from=2025-01-01&resumptionToken=x",
        "verb=ListRecords&metadataPrefix=",
        "verb=ListRecords&metadataPrefix=oai%20dc",
        "verb=ListRecords&metadataPrefix=oai_dc&set=a::b",
    ],
)
def test_arguments_unknown_repeated_missing_or_misspelt_are_refused(query: str) -> None:
    with pytest.raises(Fault) as caught:
        read_arguments(parsed(query))

    assert caught.value.code == "badArgument"


@pytest.mark.parametrize(
    "identifier",
    ["", "dataset", "oai:", "1:x", "oai:a b", 'oai:"x"', "oai:a#b", "oai:%zz"],
)
def test_identifier_that_is_no_address_is_refused(identifier: str) -> None:
    with pytest.raises(Fault) as caught:
        read_arguments({"verb": ["ListMetadataFormats"], "identifier": [identifier]})

    assert caught.value.code == "badArgument"


def test_message_about_an_unknown_argument_is_short() -> None:
    with pytest.raises(Fault) as caught:
        read_arguments({"verb": ["Identify"], "x" * 5000: ["1"]})

    assert len(caught.value.message) < 200
