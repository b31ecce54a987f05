"""Check 23: the same release gives the same bytes, wherever and whenever it is written."""

import hashlib
import locale
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest

from portal.records.models import PublishedCount, PublishedPit, PublishedVisit
from portal.records.queries import TABLES
from tests.conformance.conftest import everything, files_of
from tests.factories.published import SmallRelease


@pytest.fixture
def small(db: None) -> SmallRelease:  # noqa: ARG001 -- opens the database
    """Return a release with every kind of row, made when it was another day in some zones."""
    small = everything()
    small.release.issued_at = datetime(2025, 6, 30, 10, 30, tzinfo=UTC)
    return small


@pytest.fixture
def use_zone(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    """Return what sets the machine's zone, until the test is over."""

    def use(name: str) -> None:
        patch.setenv("TZ", name)
        time.tzset()

    with monkeypatch.context() as patch:
        yield use
    time.tzset()


@pytest.fixture
def use_locale() -> Iterator[Callable[[str], None]]:
    """Return what sets a locale, if the machine has it, until the test is over."""

    def use(name: str) -> None:
        try:
            locale.setlocale(locale.LC_ALL, name)
        except locale.Error:
            pytest.skip(f"no locale {name} on this machine")

    before = locale.setlocale(locale.LC_ALL)
    yield use
    locale.setlocale(locale.LC_ALL, before)


def sha256(small: SmallRelease) -> dict[str, str]:
    """Return the checksum of every kind of file."""
    files = files_of(small.release)
    return {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}


def test_every_kind_of_file_is_compared(small: SmallRelease) -> None:
    assert set(sha256(small)) == {
        "archive.zip",
        "flat-archive.zip",
        "data-package.zip",
        *(f"{table}.{ending}" for table in TABLES for ending in ("parquet", "csv")),
    }


def test_files_are_the_same_when_written_again(small: SmallRelease) -> None:
    assert sha256(small) == sha256(small)


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Pago_Pago"])
def test_files_are_the_same_in_another_zone(
    small: SmallRelease, use_zone: Callable[[str], None], zone: str
) -> None:
    use_zone("UTC")
    at_home = sha256(small)

    use_zone(zone)

    assert time.timezone != 0
    assert sha256(small) == at_home


@pytest.mark.parametrize("name", ["C", "C.UTF-8", "de_DE.UTF-8", "tr_TR.UTF-8"])
def test_files_are_the_same_under_another_locale(
    small: SmallRelease, use_locale: Callable[[str], None], name: str
) -> None:
    at_home = sha256(small)

    use_locale(name)

    assert sha256(small) == at_home


def test_files_are_the_same_when_rows_were_stored_in_another_order(small: SmallRelease) -> None:
    before = sha256(small)

    for model in (PublishedVisit, PublishedPit, PublishedCount):
        rows = list(model.objects.order_by("row"))
        model.objects.all().delete()
        for row in rows:
            row.row = None
        model.objects.bulk_create(reversed(rows))

    assert sha256(small) == before


def test_files_that_hold_a_row_change_with_it(small: SmallRelease) -> None:
    before = sha256(small)

    PublishedCount.objects.filter(id=small.counts[0].id).update(number=41)

    after = sha256(small)
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {
        "archive.zip",
        "flat-archive.zip",
        "data-package.zip",
        "counts.parquet",
        "counts.csv",
    }
