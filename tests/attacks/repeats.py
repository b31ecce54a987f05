"""More visits to a garden of the village."""

from datetime import timedelta
from typing import Any

from surveys.visits.models import Visit
from tests.factories.private import VISITED_ON, VisitFactory
from tests.portal.publication.villages import Household, dig


def visit_again(home: Household, number: int, **facts: Any) -> Visit:
    """Visit a garden once more, a number of days later."""
    visit: Visit = VisitFactory.create(
        **{
            "participant": home.participant,
            "site": home.site,
            "client_ref": f"{home.visit.client_ref}-{number}",
            "state": "accepted",
            "visited_on": VISITED_ON + timedelta(days=number + 1),
        }
        | facts
    )
    dig(visit, 1, "lawn", animals=number)
    return visit
