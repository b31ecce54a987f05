"""A document beside a row never says what the row no longer says, whatever was taken back."""

from datetime import timedelta
from typing import Any

import pytest

from portal.publication.lapsing import Answer, take_answers
from portal.publication.withdrawal import ReasonClass, withdraw_visits
from portal.records.documents import document_of
from portal.records.queries import TABLES
from surveys.people.models import Participant
from tests.factories.private import ConsentFactory, load_statements
from tests.portal.publication.villages import FIRST_AT, release, village, village_group

pytestmark = pytest.mark.django_db
NAME = "Mara Quill"
LATER = FIRST_AT + timedelta(days=5)


def kept() -> list[tuple[Any, str]]:
    """Return every row that has a document, with it."""
    rows = (row for table in TABLES.values() for row in table.objects.defer(None))
    return [(row, row.document) for row in rows if row.document is not None]


def stale() -> list[str]:
    return [document for row, document in kept() if document != document_of(row)]


def test_no_document_outlives_a_name_or_a_record() -> None:
    load_statements()
    homes = village(village_group(), range(6))
    named = homes[0].participant
    Participant.objects.filter(pk=named.pk).update(shown_name=NAME)
    ConsentFactory.create(participant=named, purpose="be_named")
    release(1)
    homes[1].visit.refresh_from_db()
    gone = str(homes[1].visit.public_id)
    before = "".join(document for _, document in kept())

    take_answers(
        participant=named,
        answers=[Answer("be_named", "withdrawn", "self", "")],
        at=LATER,
        by="tester",
    )
    withdraw_visits(
        visits=[homes[1].visit], reason_class=ReasonClass.ERASURE, at=LATER, by="tester"
    )

    after = "".join(document for _, document in kept())
    assert NAME in before
    assert gone in before
    assert NAME not in after
    assert gone not in after
    assert after
    assert stale() == []


def test_next_release_prepares_what_was_cleared() -> None:
    load_statements()
    village(village_group(), range(6))
    release(1)
    for table in TABLES.values():
        table.objects.update(remarks="")

    release(2)

    assert kept()
    assert not any(table.objects.filter(document=None).exists() for table in TABLES.values())
    assert stale() == []
