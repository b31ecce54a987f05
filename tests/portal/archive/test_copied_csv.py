"""Tables that PostgreSQL writes are those that we write from rows, to the byte.

The other side of each check is the way that every other database takes.
"""

import io
from typing import Any

import pytest
from django.db import connection

from api.open import whole
from portal.archive import flat_tables
from portal.archive.edition import edition_of
from portal.archive.flat_tables import write_csv, write_parquet
from portal.records.models import Release
from portal.records.queries import TABLES
from tests.api.answers import bytes_of
from tests.factories.published import (
    PublishedCountFactory,
    PublishedPitFactory,
    PublishedVisitFactory,
    place_columns,
    small_release,
)
from tests.journeys.actors import Actor

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "postgresql", reason="PostgreSQL writes CSV"),
]
AWKWARD_TEXTS = ("", "a,b", 'said "so"', "two\nlines", "two\r\nends", "\\.", "|", " blank ", "Ä€")


@pytest.fixture
def release() -> Release:
    """Make rows with every value that a cell could be written wrongly for."""
    small = small_release()
    for text in AWKWARD_TEXTS:
        PublishedVisitFactory.create(remarks=text, habitats=["lawn", "bog"], group_code=text)
        PublishedPitFactory.create(remarks=text, colour=text, management=[], found=0)
    PublishedVisitFactory.create(**place_columns("root"), habitats=[], people_digging=None)
    PublishedVisitFactory.create(footprint_wkt="", latitude=-0.0, longitude=1e-05)
    for area_m2 in (1.0, 0.0625, 1e-05, 123456.75):
        PublishedPitFactory.create(area_m2=area_m2, management=["mown", "limed"])
    PublishedPitFactory.create(management=None, sorted_to_end=None, colour=None)
    PublishedCountFactory.create(number=None, state="not_entered", occurrence_status=None)
    return small.release


@pytest.mark.parametrize("write", [write_csv, write_parquet])
@pytest.mark.parametrize("collection", TABLES)
def test_file_of_the_server_is_the_file_of_rows(
    release: Release, collection: str, write: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(flat_tables, "ROWS_OF_A_GROUP", 7)
    copied, told = io.BytesIO(), io.BytesIO()

    written = write(edition_of(release), collection, copied)
    monkeypatch.setattr(flat_tables, "is_copied", lambda: False)

    assert write(edition_of(release), collection, told) == written > 2
    assert copied.getvalue() == told.getvalue()


@pytest.mark.usefixtures("release")
@pytest.mark.parametrize("form", ["csv", "parquet"])
@pytest.mark.parametrize(
    "query",
    ["counts?habitat=lawn", "pits?fields=area_m2,management&sort=-found", "visits?bbox=-9,40,9,60"],
)
def test_stream_of_the_server_is_the_stream_of_rows(
    query: str, form: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = f"/api/v1/{query}&limit=all&f={form}"
    copied = bytes_of(Actor().get(address))

    monkeypatch.setattr(whole, "can_be_copied", lambda _form, _query: False)

    assert bytes_of(Actor().get(address)) == copied
