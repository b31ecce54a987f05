"""Each row's document says what the row says, or is not there."""

import hashlib
import json
from datetime import date
from typing import Any

import pytest

from portal.records.documents import document_of, json_text, plain_row
from portal.records.fields import FIELDS, field_names
from portal.records.models import PublishedPit, PublishedVisit
from portal.records.queries import TABLES
from tests.factories.published import PublishedPitFactory, small_release

pytestmark = pytest.mark.django_db
# Documents that were written before a field came do not tell it. Whoever changes the fields of a
# collection clears `document` in the migration that does, then changes the digest here.
FIELDS_TOLD = "8f2baed44c2df545"


def documents(table: Any) -> dict[Any, str | None]:
    return dict(table.objects.values_list("id", "document"))


@pytest.mark.parametrize("collection", FIELDS)
def test_document_of_every_row_is_what_is_told_of_it_without(collection: str) -> None:
    small_release()
    table, names = TABLES[collection], field_names(collection)

    kept = documents(table)

    told = {row.id: json_text(plain_row(row, names)) for row in table.objects.all()}
    assert kept == told
    assert kept


def test_document_is_the_same_before_a_row_is_stored_as_after() -> None:
    unstored = PublishedPitFactory.build(width_cm=20, sampled_first_on=date(2025, 3, 15))
    before = document_of(unstored)

    PublishedPit.objects.bulk_create([unstored])

    stored = PublishedPit.objects.get()
    assert before == document_of(stored) == documents(PublishedPit)[stored.id]
    assert json.loads(before)["width_cm"] == 20
    assert '"width_cm":20.0,' in before


def test_changed_column_clears_the_document_in_the_same_statement() -> None:
    row = PublishedPitFactory.create()

    PublishedPit.objects.filter(row=row.row).update(habitat="hedge")

    assert documents(PublishedPit) == {row.id: None}


def test_rows_changed_together_lose_their_documents() -> None:
    row = PublishedPitFactory.create()
    row.habitat = "hedge"

    PublishedPit.objects.bulk_update([row], ["habitat"])

    assert documents(PublishedPit) == {row.id: None}


def test_closing_and_hiding_a_version_keep_its_document() -> None:
    row = PublishedPitFactory.create()
    kept = documents(PublishedPit)

    PublishedPit.objects.update(until_release=2, hidden=True)

    assert documents(PublishedPit) == kept
    assert kept[row.id] is not None


def test_saved_row_has_the_document_of_what_was_saved() -> None:
    row = PublishedPitFactory.create()
    row.habitat = "hedge"

    row.save(update_fields=["habitat"])

    assert documents(PublishedPit) == {row.id: document_of(row)}


def test_prepare_documents_writes_those_that_are_missing() -> None:
    small = small_release()
    before = documents(PublishedVisit)
    PublishedVisit.objects.filter(id=small.visits[0].id).update(remarks="")

    written = PublishedVisit.objects.prepare_documents()

    assert written == 1
    assert documents(PublishedVisit) == before


def test_fields_that_documents_tell_are_those_they_were_written_with() -> None:
    told = json.dumps({collection: field_names(collection) for collection in FIELDS})

    assert hashlib.sha256(told.encode()).hexdigest()[:16] == FIELDS_TOLD
