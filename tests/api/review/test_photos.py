"""Photos that wait for a reviewer, by HTTP."""

import io
from typing import Any
from uuid import uuid4

import pytest
from PIL import Image

from surveys.people.models import Group
from surveys.photos.models import Photo, PhotoReason
from surveys.photos.storage import private_files
from tests.api.holders import holder_of, partner, sent_visit, visit_of
from tests.api.photos import agree_to_photos, send_photo
from tests.factories.private import ConsentFactory, ParticipantFactory, ReviewerFactory
from tests.journeys.actors import Actor
from tests.surveys.photos.pictures import CANARY, encoded, exif

WAITING = "/api/v1/review/photos"

pytestmark = pytest.mark.django_db


@pytest.fixture
def group(db: None) -> Group:  # noqa: ARG001 -- the database is needed
    """Return a group that sent a photo with a position hidden in it."""
    made, caller = partner()
    sent_visit(caller, visit_of(1))
    agree_to_photos(made)
    assert send_photo(caller, encoded(exif=exif())).status_code == 201
    return made


@pytest.fixture
def reviewer(db: None) -> Actor:  # noqa: ARG001 -- the database is needed
    """Return a reviewer who records nothing."""
    return holder_of(ReviewerFactory.create(code="V1"), "review")


def first_of(reviewer: Actor) -> dict[str, Any]:
    photo: dict[str, Any] = reviewer.get(WAITING).json()["data"][0]
    return photo


@pytest.mark.usefixtures("group")
def test_waiting_photo_is_listed_without_place_or_person(reviewer: Actor) -> None:
    photo = first_of(reviewer)

    assert set(photo) == {
        "id", "group", "client_ref", "revision", "visited_on", "pit", "kind", "state",
        "reason_code", "width_px", "height_px", "size_bytes", "received_at", "links",
    }  # fmt: skip
    assert (photo["client_ref"], photo["state"]) == ("QVD-S01", "held")


@pytest.mark.usefixtures("group")
def test_file_is_the_rebuilt_picture(reviewer: Actor) -> None:
    answer = reviewer.get(first_of(reviewer)["links"]["file"], Accept="image/*")

    content = answer.content
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["Content-Disposition"].startswith("attachment; ")
    assert answer.headers["Cache-Control"] == "private, no-store"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert int(answer.headers["Content-Length"]) == len(content)
    assert CANARY.encode() not in content
    assert dict(Image.open(io.BytesIO(content)).getexif()) == {}


@pytest.mark.usefixtures("group")
def test_approved_photo_leaves_the_list_of_those_that_wait(reviewer: Actor) -> None:
    where = first_of(reviewer)["links"]["decision"]

    answer = reviewer.post(where, {"decision": "approved"})

    assert (answer.status_code, answer.json()["state"]) == (200, "approved")
    assert reviewer.get(WAITING).json() == {"data": []}
    assert len(reviewer.get(f"{WAITING}?state=approved").json()["data"]) == 1
    assert reviewer.post(where, {"decision": "approved"}).status_code == 409


@pytest.mark.parametrize("reason", PhotoReason.values)
def test_refused_photo_is_gone_and_the_sender_reads_why(
    group: Group, reviewer: Actor, reason: str, django_capture_on_commit_callbacks: Any
) -> None:
    photo = first_of(reviewer)
    name = Photo.objects.get().storage_name

    with django_capture_on_commit_callbacks(execute=True):
        answer = reviewer.post(
            photo["links"]["decision"], {"decision": "refused", "reason_code": reason}
        )

    assert (answer.status_code, answer.json()["reason_code"]) == (200, reason)
    assert not private_files().exists(name)
    assert reviewer.get(photo["links"]["file"]).status_code == 404
    sender = holder_of(group, "read")
    (shown,) = sender.get("/api/v1/partner/visits/QVD-S01/photos").json()["data"]
    assert (shown["state"], shown["reason"]) == ("refused", PhotoReason(reason).label)


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize(
    "body",
    [
        {},
        {"decision": "published"},
        {"decision": "refused"},
        {"decision": "refused", "reason_code": "ugly"},
        {"decision": "approved", "reason_code": "shows-face"},
        {"decision": "approved", "state": "approved"},
    ],
)
def test_decision_of_another_shape_is_refused(reviewer: Actor, body: dict[str, Any]) -> None:
    answer = reviewer.post(first_of(reviewer)["links"]["decision"], body)

    assert answer.status_code == 422
    assert Photo.objects.get().state == "held"


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize("query", ["?state=refused", "?state=", "?stat=held", "?limit=1"])
def test_other_parameters_are_refused(reviewer: Actor, query: str) -> None:
    assert reviewer.get(WAITING + query).status_code == 400


def test_photo_of_the_own_household_is_not_for_this_reviewer(group: Group) -> None:
    recorder = group.participants.get(code="QVD-07")
    relative = ParticipantFactory.create(group=group, household=recorder.household)
    reviewer = holder_of(ReviewerFactory.create(participant=relative), "review")
    base = f"{WAITING}/{Photo.objects.get().public_key}"

    assert reviewer.get(WAITING).json() == {"data": []}
    assert reviewer.get(f"{base}/file").status_code == 403
    assert reviewer.post(f"{base}/decision", {"decision": "approved"}).status_code == 403


def test_photo_whose_consent_ended_is_gone_on_the_next_request(
    group: Group, reviewer: Actor
) -> None:
    photo = first_of(reviewer)

    ConsentFactory.create(
        participant=group.participants.get(code="QVD-07"),
        purpose="photos",
        decision="withdrawn",
    )

    assert reviewer.get(WAITING).json() == {"data": []}
    assert reviewer.get(photo["links"]["file"]).status_code == 404
    assert reviewer.post(photo["links"]["decision"], {"decision": "approved"}).status_code == 404


@pytest.mark.usefixtures("group")
def test_file_that_is_missing_is_not_found(reviewer: Actor) -> None:
    private_files().delete(Photo.objects.get().storage_name)

    assert reviewer.get(first_of(reviewer)["links"]["file"]).status_code == 404


def test_unknown_photo_is_not_found(reviewer: Actor) -> None:
    base = f"{WAITING}/{uuid4()}"

    assert reviewer.get(f"{base}/file").status_code == 404
    assert reviewer.post(f"{base}/decision", {"decision": "approved"}).status_code == 404


def test_group_does_not_look_at_photos_here(group: Group) -> None:
    caller = holder_of(group, "read", "submit", "withdraw", "review")
    base = f"{WAITING}/{Photo.objects.get().public_key}"

    assert caller.get(WAITING).status_code == 403
    assert caller.get(f"{base}/file").status_code == 403
    assert Actor().get(f"{base}/file").status_code == 401
