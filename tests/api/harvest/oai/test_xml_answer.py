"""The envelope: what it repeats, and what XML 1.0 cannot hold (section 2.2, Characters)."""

from datetime import UTC, datetime, timedelta, timezone
from xml.etree.ElementTree import Element

import pytest
from lxml import etree
from pytest_django import Settings

from api.harvest.oai.faults import Code, Fault
from api.harvest.oai.xml_answer import answer, error, writable

AT = datetime(2025, 6, 30, 11, 0, 0, 999_999, tzinfo=timezone(timedelta(hours=2)))


def test_request_holds_the_configured_base_and_the_arguments(settings: Settings) -> None:
    settings.PUBLIC_URL = "https://data.example.org"

    root = etree.fromstring(answer(Element("Identify"), {"verb": "Identify", "from": '<&">'}, AT))

    request = root[1]
    assert request.text == "https://data.example.org/oai"
    assert dict(request.attrib) == {"verb": "Identify", "from": '<&">'}


def test_response_date_is_in_utc_to_the_second() -> None:
    root = etree.fromstring(answer(Element("Identify"), {}, AT))

    assert root[0].text == "2025-06-30T09:00:00Z"
    assert AT.astimezone(UTC).hour == 9


@pytest.mark.parametrize(
    "text",
    ["\0", "\x08", "\x0b", "\x1f", "\ud800", "\ufffe", "\uffff"],
    ids=lambda text: f"U+{ord(text):04X}",
)
def test_characters_outside_xml_are_marked(text: str) -> None:
    content = error(Fault(Code.BAD_RESUMPTION_TOKEN, f"a{text}b"))

    root = etree.fromstring(answer(content, {"resumptionToken": f"a{text}b"}, AT))

    assert root[1].get("resumptionToken") == root[2].text == "a\ufffdb"


@pytest.mark.parametrize("text", ["\t\n", " ~", "\x7f\x85", "é\ud7ff\ue000", "\U0001fab1"])
def test_characters_of_xml_stay(text: str) -> None:
    assert writable(text) == text
