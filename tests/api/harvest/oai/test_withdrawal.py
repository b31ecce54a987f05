"""From a withdrawal to what a harvester sees of it."""

from datetime import timedelta

import pytest

from portal.publication.withdrawal import ReasonClass, withdraw_visits
from surveys.visits.models import Visit
from tests.api.harvest.oai.scenes import ask, headers_of
from tests.portal.publication.villages import FIRST_AT, release, village, village_group

pytestmark = pytest.mark.django_db


def withdraw(visits: list[Visit], days_later: int) -> None:
    withdraw_visits(
        visits=visits,
        reason_class=ReasonClass.SENDER_ERROR,
        at=FIRST_AT + timedelta(days=days_later),
        by="group QVD",
    )


def listed(query: str = "") -> dict[str, tuple[str, bool]]:
    root = ask(f"verb=ListRecords&metadataPrefix=oai_dc{query}")
    return {
        identifier.rpartition(":")[2]: (datestamp, deleted)
        for identifier, datestamp, deleted in headers_of(root)
    }


def test_withdrawal_is_seen_at_once_and_the_last_one_deletes_the_record() -> None:
    village(village_group(), range(4))
    release(1)
    visits = list(Visit.objects.order_by("id"))
    issued = listed()

    withdraw(visits[:1], days_later=1)
    after_one = listed("&from=2025-07-01")
    withdraw(visits[1:], days_later=2)

    assert issued == dict.fromkeys(["dataset", "release/1"], ("2025-06-30T09:00:00Z", False))
    assert after_one == dict.fromkeys(issued, ("2025-07-01T09:00:00Z", False))
    assert listed("&from=2025-07-02") == dict.fromkeys(issued, ("2025-07-02T09:00:00Z", True))
