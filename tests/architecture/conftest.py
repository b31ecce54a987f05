"""Private and public data side by side, so that a leak would have something to leak."""

import pytest
from django.core.cache import cache
from django.test import Client

from portal.publication.withdrawal import ReasonClass, withdraw_visits
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit
from surveys.visits.models import Visit
from tests.portal.publication.villages import (
    FIRST_AT,
    release,
    village,
    village_group,
)


@pytest.fixture(autouse=True)
def fresh_limits() -> None:
    """Forget the requests of earlier tests, which count against the limit."""
    cache.clear()


@pytest.fixture
def ids(db: None) -> dict[str, str]:  # noqa: ARG001 -- the database is needed
    """Make two releases and a withdrawal; return ids that stand, and one that is gone."""
    homes = village(village_group(named_publicly=True), range(7))
    release(1)
    Visit.objects.filter(pk=homes[1].visit.pk).update(people_digging=4)
    release(2)
    snapshot = Client().post(
        "/api/v1/snapshots", {"query": "/api/v1/visits"}, content_type="application/json"
    )
    leaver = Visit.objects.get(pk=homes[0].visit.pk)
    withdraw_visits(
        visits=[leaver],
        reason_class=ReasonClass.DOUBLE,
        at=FIRST_AT.replace(year=2026),
        by="group QVD",
    )
    visit = PublishedVisit.objects.at(2).order_by("id")[0]
    pit = PublishedPit.objects.at(2).filter(visit_id=visit.id).order_by("id")[0]
    count = PublishedCount.objects.at(2).filter(pit_id=pit.id).order_by("id")[0]
    return {
        "visit": str(visit.id),
        "site": str(visit.site_id),
        "pit": str(pit.id),
        "count": str(count.id),
        "phase": str(count.phase_id),
        "snapshot": snapshot.json()["data"]["id"],
        "gone": str(leaver.public_id),
    }
