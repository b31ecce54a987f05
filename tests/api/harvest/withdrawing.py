"""Take a visit out, as the office would."""

from portal.publication.withdrawal import ReasonClass, withdraw_visits
from surveys.visits.models import Visit
from tests.portal.publication.villages import FIRST_AT


def withdraw(visit: Visit) -> None:
    """Withdraw a visit on the day of the first release."""
    withdraw_visits(visits=[visit], reason_class=ReasonClass.ERASURE, at=FIRST_AT, by="group QVD")
