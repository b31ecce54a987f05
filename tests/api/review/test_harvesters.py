"""Stewards see which harvester is behind."""

import pytest
from django.utils import timezone

from portal.harvesters.operations import acknowledge, register
from portal.records.operations import add_entry
from tests.api.holders import holder_of
from tests.factories.private import ReviewerFactory
from tests.factories.published import ReleaseFactory, TombstoneFactory

HARVESTERS = "/api/v1/review/harvesters"

pytestmark = pytest.mark.django_db


def test_steward_sees_who_is_behind_since_when_and_whom_to_write_to() -> None:
    now = timezone.now()
    harvester, _ = register(name="Index", contact="i@example.org", homepage="", at=now)
    release = ReleaseFactory.create(number=1)
    first = add_entry(at=release.issued_at, release=release)
    acknowledge(harvester=harvester, entry=first.number, at=now)
    TombstoneFactory.create()
    steward = holder_of(ReviewerFactory.create(is_steward=True), "steward")

    (shown,) = steward.get(HARVESTERS).json()["data"]

    stamp = f"{now:%Y-%m-%dT%H:%M:%SZ}"
    assert shown == {
        "name": "Index",
        "contact": "i@example.org",
        "homepage": "",
        "registered_at": stamp,
        "acknowledged_entry": 1,
        "acknowledged_at": stamp,
        "outstanding": {"entries": 1, "withdrawals": 1},
        "behind_since": "2025-07-03T14:00:00Z",
    }


def test_contacts_are_for_stewards_only() -> None:
    reviewer = holder_of(ReviewerFactory.create(), "review", "steward")
    unscoped = holder_of(ReviewerFactory.create(is_steward=True), "review")

    assert reviewer.get(HARVESTERS).status_code == 403
    assert unscoped.get(HARVESTERS).status_code == 403
