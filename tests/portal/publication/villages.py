"""Households with an accepted visit each, close enough to each other to share a grid cell."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid5

from portal.publication.minting import Mint, random_id
from portal.publication.operations import make_release
from portal.records.models import Release
from surveys.people.models import Group, Participant
from surveys.sites.models import Site
from surveys.visits.models import Visit
from tests.factories.private import (
    ConsentFactory,
    CountFactory,
    GroupFactory,
    ParticipantFactory,
    PhaseFactory,
    PitFactory,
    SiteFactory,
    SoilObservationFactory,
    VisitFactory,
)

FIRST_AT = datetime(2025, 6, 30, 9, tzinfo=UTC)
CELL = "0.01|52.88|-0.73"
NAMESPACE = UUID("0b2d4c3e-7a65-4e0b-9d4a-6f1d5a3c2b10")
DRENCH: dict[str, Any] = {
    "kind": "expellant",
    "agent": "mustard water",
    "volume_ml": 500,
    "wait_min": 5,
}


@dataclass(frozen=True)
class Household:
    """A participant with a garden and an accepted visit to it."""

    participant: Participant
    site: Site
    visit: Visit


def village_group(**facts: Any) -> Group:
    """Return the group of a village."""
    group: Group = GroupFactory.create(**{"code": "QVD", "name": "Quellmoor diggers"} | facts)
    return group


def household(
    group: Group,
    number: int,
    *,
    consent: dict[str, Any] | None = None,
    person: dict[str, Any] | None = None,
    site: dict[str, Any] | None = None,
    **visit: Any,
) -> Household:
    """Make a household of a village whose gardens lie in one cell of 0.01 degree."""
    participant = ParticipantFactory.create(
        **{"group": group, "code": f"P{number:02}", "household": f"house-{number}"} | (person or {})
    )
    ConsentFactory.create(**{"participant": participant} | (consent or {}))
    garden = SiteFactory.create(
        **{
            "owner": participant,
            "code": f"garden-{number}",
            "latitude": Decimal("52.8812345") + Decimal(number) / 2000,
        }
        | (site or {})
    )
    made = VisitFactory.create(
        **{
            "participant": participant,
            "site": garden,
            "client_ref": f"V{number:02}",
            "state": "accepted",
            "people_digging": 2,
        }
        | visit
    )
    for place, habitat in enumerate(("lawn", "flower bed"), start=1):
        dig(made, place, habitat, animals=number + place)
    return Household(participant, garden, made)


def dig(visit: Visit, number: int, habitat: str, animals: int) -> None:
    """Add a drenched pit; its endogeic adults are the animals found."""
    pit = PitFactory.create(
        visit=visit,
        number=number,
        habitat=habitat,
        management=["mown"],
        sorting_minutes=15,
        sorted_to_end=True,
    )
    SoilObservationFactory.create(pit=pit)
    sorting = PhaseFactory.create(pit=pit)
    CountFactory.create(phase=sorting, number=animals)
    CountFactory.create(phase=sorting, group="unassigned", stage="juvenile", number=0)
    drench = PhaseFactory.create(pit=pit, **DRENCH)
    CountFactory.create(phase=drench, group="anecic", number=0)


def village(group: Group, numbers: Iterable[int], **facts: Any) -> list[Household]:
    """Make several households of a village."""
    return [household(group, number, **facts) for number in numbers]


def fixed_mint(key: str) -> UUID:
    """Return an id that depends on the key only, so that two releases can be compared."""
    return uuid5(NAMESPACE, key)


def release(number: int = 1, *, by: str = "test", mint: Mint = random_id) -> Release:
    """Make the next release, a month after the last."""
    made = make_release(at=FIRST_AT + timedelta(days=30 * (number - 1)), by=by, mint=mint)
    assert made.number == number
    return made
