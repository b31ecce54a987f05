"""Three releases of a village, which most tests here read."""

import pytest

from surveys.visits.models import Visit
from tests.journeys.actors import Actor
from tests.portal.publication.villages import (
    household,
    release,
    village,
    village_group,
)


@pytest.fixture
def reader() -> Actor:
    """Return somebody without a token."""
    return Actor()


@pytest.fixture
def three_releases(db: None) -> list[Visit]:  # noqa: ARG001 -- the database is needed
    """Make three releases: one joins at the second, one changes and one leaves at the third."""
    group = village_group(named_publicly=True)
    homes = village(group, range(6))
    release(1)
    homes.append(household(group, 6))
    release(2)
    Visit.objects.filter(pk=homes[0].visit.pk).update(people_digging=7)
    Visit.objects.filter(pk=homes[1].visit.pk).update(state="in_review")
    release(3)
    return list(Visit.objects.order_by("id"))
