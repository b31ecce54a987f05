"""Attacks by a group on another group's records: references, mixed batches, keys, forbidden fields.

Numbers 19, 20 and 21 of the list. Each door with each kind of caller is tried in
tests/api/partners/test_access.py; here are the ways around the doors.
"""

import json
from typing import Any

import pytest
from django.test import Client

from surveys.people.models import Consent, Group
from surveys.visits.models import Visit
from tests.api.holders import (
    ALL_OF_A_GROUP,
    SUBMISSIONS,
    VISITS,
    holder_of,
    partner,
    sent_visit,
    visit_of,
)
from tests.architecture.doors import DOORS, UNKNOWN
from tests.factories import private
from tests.factories.private import put, sending_group
from tests.journeys.actors import Actor

REF = "QVD-S01"
FORBIDDEN: dict[str, Any] = {
    "group": "OTHER",
    "state": "accepted",
    "id": UNKNOWN,
    "public_id": UNKNOWN,
    "revision": 9,
    "note_approved": True,
    "reviewed_by": "R01",
    "consent_to_publish": True,
    "cell": "0.001|52.881|-0.724",
    "received_at": "2020-01-01T00:00:00Z",
}

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(db: None) -> Actor:  # noqa: ARG001 -- the database is needed
    """Return the caller of a group that sent one visit."""
    caller = partner("QVD")[1]
    sent_visit(caller, visit_of(1))
    return caller


@pytest.fixture
def stranger(owner: Actor) -> Actor:
    """Return the caller of another group, which may send too and has a member of the same code."""
    del owner
    return holder_of(sending_group("OTHER"), *ALL_OF_A_GROUP)


def test_other_groups_participant_is_as_unknown_as_none(stranger: Actor) -> None:
    """19: send a visit in the name of another group's participant."""
    answers = []
    private.ParticipantFactory.create(group=Group.objects.get(code="QVD"), code="QVD-08")
    for code in ("QVD-08", "QVD-77"):
        sent = {"visits": [visit_of(2, participant=code)]}
        told = stranger.post(f"{SUBMISSIONS}?dry_run=true", sent).json() | {"instance": ""}
        answers.append(json.dumps(told).replace(code, "CODE"))

    assert answers[0] == answers[1]


def test_mixed_batch_touches_own_records_only(owner: Actor, stranger: Actor) -> None:
    """19: a batch with the other group's reference among own ones makes an own visit of it."""
    before = owner.get(f"{VISITS}/{REF}").content
    sent = {"visits": [visit_of(1, people_digging=9), visit_of(5)]}

    taken = stranger.post(SUBMISSIONS, sent).json()

    assert taken["summary"]["stored"] == 2
    assert owner.get(f"{VISITS}/{REF}").content == before
    assert Visit.objects.filter(client_ref=REF).count() == 2


def test_same_site_code_in_two_groups_is_two_sites(owner: Actor, stranger: Actor) -> None:
    """19: take over the other group's position by naming its site's code."""
    del owner
    sent_visit(stranger, put(visit_of(1), "/site/latitude", 52.90001))

    places = Visit.objects.order_by("id").values_list("site__latitude", flat=True)

    assert [float(place) for place in places] == [visit_of(1)["site"]["latitude"], 52.90001]


@pytest.mark.parametrize("name", FORBIDDEN)
@pytest.mark.parametrize("place", ["", "/site", "/pits/0"])
def test_field_that_is_ours_is_refused_in_a_batch(owner: Actor, name: str, place: str) -> None:
    """20: smuggle a public place, a consent, a state or another group into a visit."""
    sent = put(visit_of(3), f"{place}/{name}", FORBIDDEN[name])

    taken = owner.post(SUBMISSIONS, {"visits": [sent]}).json()

    assert taken["summary"]["rejected"] == 1
    assert [(fault["pointer"], fault["code"]) for fault in taken["errors"]] == [
        (f"/visits/0{place}/{name}", "field-unknown")
    ]


@pytest.mark.parametrize("name", FORBIDDEN)
def test_field_that_is_ours_is_refused_in_a_correction(owner: Actor, name: str) -> None:
    """20: the same with a correction; nothing of the visit changes."""
    read = owner.get(f"{VISITS}/{REF}")
    sent = visit_of(1, people_digging=3) | {name: FORBIDDEN[name]}

    answer = owner.put(f"{VISITS}/{REF}", sent, **{"If-Match": read.headers["ETag"]})

    assert answer.status_code == 422
    assert owner.get(f"{VISITS}/{REF}").content == read.content


def test_key_of_another_group_gives_no_answer_of_it(owner: Actor, stranger: Actor) -> None:
    """21: replay another group's idempotency key with the very same body."""
    sent = {"visits": [visit_of(4)]}
    first = owner.post(SUBMISSIONS, sent, **{"Idempotency-Key": "spring-1"})

    replayed = stranger.post(SUBMISSIONS, sent, **{"Idempotency-Key": "spring-1"})

    assert "Idempotent-Replayed" not in replayed.headers
    kept = [answer.json()["submission"] for answer in (first, replayed)]
    assert kept[0] != kept[1]
    assert stranger.get(f"{SUBMISSIONS}/{kept[0]}").status_code == 404
    assert owner.get(f"{SUBMISSIONS}/{kept[0]}").status_code == 200


def test_group_without_records_learns_nothing_from_any_number(stranger: Actor) -> None:
    """19: guess the numbers of rows in the database as references."""
    for number in [*Visit.objects.values_list("pk", flat=True), *Group.objects.values_list("pk")]:
        answer = stranger.get(f"{VISITS}/{number}")

        assert answer.status_code == 404


PARTS = {
    "<uuid:key>": UNKNOWN,
    "<str:client_ref>": REF,
    "<str:code>": "QVD-07",
    "<str:group_code>": "QVD",
    "<str:token>": "forged",
}


def closed_addresses() -> list[str]:
    """Return every address behind a token, with references in their places."""
    found = []
    for route, door in DOORS.items():
        if door.face in {"partner", "review", "harvester", "personal"}:
            pieces = [PARTS.get(piece, piece) for piece in route.split("/")]
            found.append("/" + "/".join(pieces))
    return found


@pytest.mark.usefixtures("owner")
@pytest.mark.parametrize("address", closed_addresses())
def test_answer_of_a_closed_address_is_kept_by_no_shared_cache(address: str) -> None:
    """38: ask with a token, then without, through a cache between; nothing may be stored there."""
    group = Group.objects.get(code="QVD")
    for headers in ({}, holder_of(group, *ALL_OF_A_GROUP).headers):
        answer = Client().get(address, headers=headers)

        assert "no-store" in answer.headers["Cache-Control"], answer.status_code
        assert answer.headers.get("Access-Control-Allow-Origin") is None


def test_consent_is_not_given_by_a_batch(owner: Actor) -> None:
    """20: consents are answers of people, recorded apart."""
    before = Consent.objects.count()

    sent_visit(owner, visit_of(6))

    assert Consent.objects.count() == before
