"""Releases and withdrawals made before there was a feed get their entries."""

from datetime import UTC, date, datetime, time
from importlib import import_module
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db import connection

from portal.records.models import ChangeEntry, Tombstone
from tests.factories.published import ChangeEntryFactory, ReleaseFactory, TombstoneFactory

pytestmark = pytest.mark.django_db


def test_each_release_and_each_day_of_withdrawals_has_an_entry_in_order() -> None:
    migration = import_module("portal.migrations.0003_changes_and_harvesters")
    for number, month in ((1, 3), (2, 6)):
        ReleaseFactory.create(number=number, issued_at=datetime(2025, month, 10, 9, tzinfo=UTC))
    unknown = ChangeEntryFactory.create(number=99)
    days = [date(2025, 4, 1), date(2025, 4, 1), date(2025, 6, 10), date(2025, 7, 1)]
    for day in days:
        TombstoneFactory.create(withdrawn_on=day, entry=unknown)

    migration.enter_earlier_acts(apps, SimpleNamespace(connection=connection))
    unknown.delete()

    midnight = time(tzinfo=UTC)
    assert list(ChangeEntry.objects.values_list("number", "release", "at")) == [
        (1, 1, datetime(2025, 3, 10, 9, tzinfo=UTC)),
        (2, None, datetime.combine(date(2025, 4, 1), midnight)),
        (3, None, datetime.combine(date(2025, 6, 10), midnight)),
        (4, 2, datetime(2025, 6, 10, 9, tzinfo=UTC)),
        (5, None, datetime.combine(date(2025, 7, 1), midnight)),
    ]
    found = Tombstone.objects.order_by("entry").values_list("entry", "withdrawn_on")
    assert [(entry, day) for entry, day in found] == list(zip((2, 2, 3, 5), days, strict=True))
