"""The scene of the attacks: a village told twice, and everything that the public may read of it."""

import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, TypeVar
from unittest.mock import patch
from uuid import UUID

from django.core.cache import cache
from django.db import transaction
from django.test import Client, override_settings
from rest_framework.throttling import SimpleRateThrottle

from portal.records.models import PublishedCount, PublishedPit, PublishedVisit, ReleaseFile
from surveys.people.models import Group
from surveys.visits.models import Visit
from tests.api.answers import bytes_of
from tests.architecture.doors import UNKNOWN, public_addresses
from tests.portal.publication.villages import (
    fixed_mint,
    household,
    release,
    village,
    village_group,
)

NOW = datetime(2026, 2, 1, 12, tzinfo=UTC)
SCHOOL: dict[str, Any] = {"place_kind": "school_ground", "latitude": "52.7412345"}
COLLECTIONS = ("visits", "pits", "counts", "occurrences")
FEATURES = (
    "/features",
    "/features/collections",
    "/features/collections/{name}",
    "/features/collections/{name}/schema",
    "/features/collections/{name}/items?limit=1000",
    "/features/collections/{name}/items?f=html",
)
# The page of the documentation holds a token drawn anew for each answer.
OF_THE_MOMENT = ("/docs",)
T = TypeVar("T")
Story = Callable[[], object]


@dataclass(frozen=True)
class Answer:
    """What came back: everything that an attacker sees of it."""

    status: int
    body: bytes
    headers: dict[str, str]


Answers = dict[str, Answer]


def nothing() -> None:
    """Change nothing."""


def two_releases(before: Story = nothing, between: Story = nothing) -> Group:
    """Tell of six gardens in one cell and a school; a count is mended between two releases."""
    group = village_group(named_publicly=True)
    village(group, range(6), note="Quiet morning.")
    household(group, 7, site=SCHOOL)
    before()
    release(1, mint=fixed_mint)
    Visit.objects.filter(client_ref="V01").update(people_digging=5)
    between()
    release(2, mint=fixed_mint)
    return group


def told(story: Story, ask: Callable[[], T]) -> T:
    """Tell a story, ask, and forget it all."""
    with transaction.atomic():
        story()
        with stopped_clock():
            answer = ask()
        transaction.set_rollback(True)
    return answer


@contextmanager
def stopped_clock(at: datetime = NOW) -> Iterator[None]:
    """Stop what differs between two runs of one program: clock, limits and random numbers."""
    cache.clear()
    drawn = random.Random(1)  # noqa: S311 -- to be repeated, not to be secret
    with (
        override_settings(OPEN_REQUESTS_PER_MINUTE=100_000, SNAPSHOTS_PER_HOUR=100_000),
        patch("django.utils.timezone.now", return_value=at),
        patch.object(SimpleRateThrottle, "timer", return_value=at.timestamp()),
        patch("api.errors.uuid.uuid4", return_value=UUID(int=4)),
        patch("portal.snapshots.operations.secrets.choice", side_effect=drawn.choice),
    ):
        yield


def read(address: str, method: str = "get", **headers: str) -> Answer:
    """Ask as anybody."""
    answer: Any = getattr(Client(), method)(address, headers=headers)
    return Answer(answer.status_code, bytes_of(answer), dict(answer.headers))


def json_of(address: str) -> Any:
    """Ask as anybody for JSON that must be there."""
    answer: Any = Client().get(address)
    assert answer.status_code == 200, (address, answer.status_code)
    return answer.json()


def rows_of(collection: str, query: str = "") -> list[dict[str, Any]]:
    """Return the rows of a small collection."""
    found: list[dict[str, Any]] = json_of(f"/api/v1/{collection}?limit=1000{query}")["data"]
    return found


def freeze(query: str) -> Any:
    """Freeze a query; returns the snapshot."""
    sent = {"query": query}
    return Client().post("/api/v1/snapshots", sent, content_type="application/json").json()["data"]


def example_ids() -> dict[str, str]:
    """Return ids that stand, for the examples of addresses."""
    visit = PublishedVisit.objects.filter(hidden=False).order_by("id")[0]
    pit = PublishedPit.objects.filter(visit_id=visit.id).order_by("id")[0]
    count = PublishedCount.objects.filter(pit_id=pit.id).order_by("id")[0]
    return {
        "visit": str(visit.id),
        "site": str(visit.site_id),
        "pit": str(pit.id),
        "count": str(count.id),
        "phase": str(count.phase_id),
        "snapshot": freeze("/api/v1/visits")["id"],
        "gone": UNKNOWN,
    }


def public_places(ids: dict[str, str]) -> list[str]:
    """Return every public address, those of all files that were ever built included."""
    asked = public_addresses(ids)
    asked += [f"/api/v1/{name}?limit=1000" for name in COLLECTIONS]
    asked += [f"/api/v1/{name}?limit=1000&release=1" for name in COLLECTIONS]
    asked += [one.format(name=name) for one in FEATURES for name in COLLECTIONS]
    asked += [
        f"/files/{file.release_id}/{file.build}/{file.name}" for file in ReleaseFile.objects.all()
    ]
    return [one for one in dict.fromkeys(asked) if not one.startswith(OF_THE_MOMENT)]


def everything_public() -> Answers:
    """Ask every public address, and read every file of every build."""
    return {address: read(address) for address in public_places(example_ids())}


def differing(first: Answers, second: Answers) -> list[str]:
    """Return the addresses whose answers differ in status, header or byte."""
    return sorted(one for one in first.keys() | second.keys() if first.get(one) != second.get(one))
