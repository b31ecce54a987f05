"""The document for search engines at its edges; whole ones are checked in tests/conformance."""

import json
import re
from html.parser import HTMLParser

import pytest

from portal.catalogue.entries import entry_of
from portal.catalogue.schema_org import dataset_json_ld, release_json_ld, script_text
from tests.factories.published import ReleaseFactory

HOSTILE = "</script><script>alert(1)</script><!-- & \u2028 ]]>"


class Elements(HTMLParser):
    """Notes which elements a browser would see."""

    def __init__(self) -> None:
        super().__init__()
        self.seen: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        """Note an element."""
        del attrs
        self.seen.append(tag)


def test_text_cannot_end_the_element_it_stands_in() -> None:
    text = script_text({"name": HOSTILE})

    page = Elements()
    page.feed(f'<script type="application/ld+json">{text}</script><p>')
    assert page.seen == ["script", "p"]
    assert not re.search("[<>&\u2028]", text)
    assert json.loads(text) == {"name": HOSTILE}


@pytest.mark.django_db
def test_release_without_rows_claims_no_coverage() -> None:
    document = release_json_ld(entry_of(ReleaseFactory.create(number=1)))

    assert not {"temporalCoverage", "spatialCoverage"} & set(document)
    assert document["distribution"] == document["about"] == document["contributor"] == []


@pytest.mark.django_db
def test_dataset_is_described_by_its_newest_release() -> None:
    document = dataset_json_ld(entry_of(ReleaseFactory.create(number=4, title="Pits")))

    assert (document["version"], document["name"]) == ("4", "Pits")
    assert "exampleOfWork" not in document
