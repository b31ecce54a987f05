"""Who may do what: each address against each kind of caller."""

import re
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.core.files.base import ContentFile
from django.utils import timezone

from api.review.shapes import etag
from portal.blurring import GeneralisationRules
from portal.publication.models import GeneralisationSetting
from surveys.people.models import AccessToken, Group
from surveys.people.operations import revoke_token
from surveys.photos.storage import private_files
from surveys.visits.models import Pit, Visit
from tests.api.holders import (
    ALL_OF_A_GROUP,
    SUBMISSIONS,
    VISITS,
    holder_of,
    partner,
    sent_visit,
    visit_of,
)
from tests.factories.private import (
    AccessTokenFactory,
    DoublePairFactory,
    GroupFactory,
    PhotoFactory,
    ResearchGrantFactory,
    ReviewerFactory,
    UploadJobFactory,
)
from tests.journeys.actors import Actor

REF = "QVD-S01"
TRIALS, TRIAL_REF = "/api/v1/partner/calibrations", "QVD-T1"
TRIAL = {
    "client_ref": TRIAL_REF,
    "kind": "known_numbers",
    "protocol": "contrast-pit/2",
    "step": "hand_sort",
    "observer": "QVD-07",
    "held_on": "2025-04-12",
    "lines": [{"group": "anecic", "stage": "adult", "known": 10, "observed": 7}],
}
PARTICIPANT = {
    "household": "house-7",
    "consents": [
        {"purpose": "publish", "decision": "given", "given_by": "self", "statement_version": "1"}
    ],
}
PHOTO = "0d9f6a1e-5d0c-4f7e-8a54-3c1f6f0d2b90"
SITE = "/api/v1/partner/sites/QVD-07-1"
JOB, NO_JOB = "5f1c6e0a-7a0e-4e0f-9d7a-1c9b4c0f7a21", "6a2d7f1b-8b1f-4f1a-8e8b-2d0c5d1a8b32"
JOBS = f"/api/v1/partner/jobs/{JOB}"
PREFIX, NO_PREFIX = "dri0a0a0a", "dri0b0b0b"
GRANT = "3b0f6b0e-93d4-4a37-8f6d-9f0c6a6c5e11"
NO_GRANT = "9d6a0f3e-1f2b-4c55-8f0a-2b7f7a1d4c22"
GRANT_BODY = {
    "researcher": "Ada Invented",
    "institution": "Institute of Nowhere",
    "contact": "ada@example.org",
    "purpose": "Soil maps.",
    "fields": ["exact_place"],
    "groups": ["QVD"],
    "starts_on": "2025-01-01",
    "ends_on": "2999-01-01",
}
PLACE = {
    "latitude": 52.8912,
    "longitude": -0.7123,
    "place_kind": "private_garden",
    "place_detail": "standard",
}
PERMISSION = {
    "participant": "QVD-07",
    "starts_on": "2025-01-01",
    "ends_on": "2999-01-01",
    "evidence": "paper_form",
}


@dataclass(frozen=True)
class Door:
    """An address, its method, the scope that it needs, and a body that it takes."""

    method: str
    address: str
    scope: str
    body: Any = None


PARTNER_DOORS = [
    Door("get", "/api/v1/partner/me", "read"),
    Door("get", SUBMISSIONS, "read"),
    Door("post", SUBMISSIONS, "submit", {"visits": [visit_of(2)]}),
    Door("get", f"{SUBMISSIONS}/SUBMISSION", "read"),
    Door("get", f"{SUBMISSIONS}/SUBMISSION/faults", "read"),
    Door("get", "/api/v1/partner/protocols", "read"),
    Door("get", VISITS, "read"),
    Door("get", f"{VISITS}/{REF}", "read"),
    Door("get", f"{VISITS}/{REF}/result", "read"),
    Door("get", f"{VISITS}/{REF}/quality", "read"),
    Door("put", f"{VISITS}/{REF}", "submit", visit_of(1, people_digging=3)),
    Door(
        "post",
        "/api/v1/partner/corrections",
        "submit",
        {"corrections": [{"revision": 1, "visit": visit_of(1, people_digging=3)}]},
    ),
    Door("post", f"{VISITS}/{REF}/withdrawal", "withdraw", {"reason_class": "sender_error"}),
    Door("post", f"{VISITS}/{REF}/appeal", "submit", {"text": "Please look again."}),
    Door("get", "/api/v1/partner/participants/QVD-07", "read"),
    Door("get", "/api/v1/partner/participants/QVD-07/reliability", "read"),
    Door("get", "/api/v1/partner/participants/QVD-07/consents", "read"),
    Door("get", "/api/v1/partner/consent-statements", "read"),
    Door("post", "/api/v1/partner/participants/QVD-07/link", "withdraw"),
    Door("put", "/api/v1/partner/participants/QVD-08", "submit", PARTICIPANT),
    Door("get", TRIALS, "read"),
    Door("post", TRIALS, "submit", TRIAL),
    Door("get", f"{TRIALS}/results", "read"),
    Door("get", f"{TRIALS}/{TRIAL_REF}", "read"),
    Door(
        "post",
        "/api/v1/partner/participants/QVD-07/withdrawal",
        "withdraw",
        {"reason_class": "consent_withdrawn"},
    ),
]
PARTNER_DOORS += [
    Door("get", f"{VISITS}/{REF}/photos", "read"),
    Door("get", f"{VISITS}/{REF}/photos/{PHOTO}", "read"),
    Door("get", "/api/v1/partner/uploads", "read"),
    Door("get", JOBS, "read"),
    Door("delete", JOBS, "submit"),
    Door("post", f"{JOBS}/confirmation", "submit"),
    Door("get", f"{JOBS}/errors", "read"),
    Door("get", f"{JOBS}/sheet", "read"),
    Door("get", "/api/v1/partner/templates", "read"),
    Door("get", "/api/v1/partner/templates/contrast-pit/2/wide.csv", "read"),
    Door("get", f"{SITE}", "read"),
    Door("put", f"{SITE}", "submit", PLACE),
    Door("get", f"{SITE}/exact-permission", "read"),
    Door("put", f"{SITE}/exact-permission", "submit", PERMISSION),
    Door("delete", f"{SITE}/exact-permission", "withdraw"),
    Door("get", "/api/v1/partner/export", "coordinate"),
    Door("get", "/api/v1/partner/tokens", "coordinate"),
    Door("post", "/api/v1/partner/tokens", "coordinate", {"name": "tablet"}),
    Door("post", f"/api/v1/partner/tokens/{PREFIX}/rotation", "coordinate"),
    Door("delete", f"/api/v1/partner/tokens/{PREFIX}", "coordinate"),
    Door("delete", "/api/v1/partner/practice", "submit"),
    Door("get", "/api/v1/partner/grants", "read"),
    Door("post", f"/api/v1/partner/grants/{GRANT}/veto", "withdraw"),
    Door("get", "/api/v1/partner/participants/QVD-07/exact-reads", "read"),
]
# What a group's own records stand behind: another group must not learn that they are there.
OWNED = [
    door
    for door in PARTNER_DOORS
    if any(
        word in door.address
        for word in ("SUBMISSION", REF, TRIAL_REF, GRANT, PREFIX, JOB, "/QVD-07")
    )
]
REVIEW_DOORS = [
    Door("get", "/api/v1/review/waiting", "review"),
    Door("get", "/api/v1/review/reasons", "review"),
    Door(
        "post",
        f"/api/v1/review/visits/QVD/{REF}/decision",
        "review",
        {"decision": "accepted"},
    ),
    Door("get", f"/api/v1/review/visits/QVD/{REF}", "review"),
    Door("post", f"/api/v1/review/visits/QVD/{REF}/claim", "review"),
    Door("delete", f"/api/v1/review/visits/QVD/{REF}/claim", "review"),
    Door("get", f"/api/v1/review/visits/QVD/{REF}/note", "review"),
    Door("post", f"/api/v1/review/visits/QVD/{REF}/note/approval", "review", {"revision": 1}),
    Door("get", "/api/v1/review/agreement", "review"),
    Door("get", "/api/v1/review/doubles", "review"),
    Door("post", "/api/v1/review/doubles/7002/verdict", "review", {"verdict": "two_visits"}),
    Door("get", "/api/v1/review/check-settings", "steward"),
    Door(
        "post",
        "/api/v1/review/check-settings",
        "steward",
        {"protocol": "contrast-pit/2", "parameters": {"late_after_days": 90}, "reason": "Post."},
    ),
    Door("get", "/api/v1/review/photos", "review"),
    Door("get", f"/api/v1/review/photos/{PHOTO}/file", "review"),
    Door("post", f"/api/v1/review/photos/{PHOTO}/decision", "review", {"decision": "approved"}),
    Door("get", "/api/v1/review/calibrations/results", "review"),
    Door("get", "/api/v1/review/confusion", "review"),
    Door("get", "/api/v1/review/harvesters", "steward"),
    Door("get", "/api/v1/review/grants", "steward"),
    Door("post", "/api/v1/review/grants", "steward", GRANT_BODY),
    Door("post", f"/api/v1/review/grants/{GRANT}/end", "steward"),
    Door("get", "/api/v1/review/sensitive-taxa", "steward"),
    Door(
        "post",
        "/api/v1/review/sensitive-taxa",
        "steward",
        {"scientific_name": "Lumbricus rarus", "category": 2, "reason": "Collectors."},
    ),
    Door("get", "/api/v1/review/generalisation-rules", "steward"),
    Door(
        "post",
        "/api/v1/review/generalisation-rules",
        "steward",
        {"rules": {"keep_at": 4}, "reason": "More care."},
    ),
    Door("post", "/api/v1/review/generalisation-rules/7001/confirmation", "steward"),
    Door("post", "/api/v1/review/releases", "steward"),
]
EVERY_DOOR = PARTNER_DOORS + REVIEW_DOORS

pytestmark = pytest.mark.django_db


def name_of(door: Door) -> str:
    return f"{door.method} {door.address}"


def knock(caller: Actor, door: Door, submission: str = "", **headers: str) -> Any:
    address = door.address.replace("SUBMISSION", submission or str(uuid4()))
    if door.method == "get":
        return caller.get(address, **headers)
    headers = {"If-Match": _tag(door)} | headers
    return getattr(caller, door.method)(address, door.body, **headers)


def _tag(door: Door) -> str:
    visit = Visit.objects.filter(client_ref=REF).first()
    if visit is None or not door.address.endswith("/decision"):
        return '"revision-1"'
    return etag(visit)


@pytest.fixture
def group(db: None) -> Group:  # noqa: ARG001 -- the database is needed
    """Return a group that sent one visit and one trial; some rules wait for a steward."""
    made, caller = partner()
    sent_visit(caller, visit_of(1))
    caller.post(TRIALS, TRIAL)
    photo = PhotoFactory.create(public_key=UUID(PHOTO), pit=Pit.objects.order_by("id")[0])
    private_files().save(photo.storage_name, ContentFile(b"picture"))
    GeneralisationSetting.objects.create(
        pk=7001,
        rules=GeneralisationRules(keep_at=2).as_dict(),
        author="somebody else",
        reason="More to see.",
        made_at=timezone.now(),
        needs_second=True,
    )
    UploadJobFactory.create(public_key=UUID(JOB), group=made)
    ResearchGrantFactory.create(key=GRANT).groups.set([made])
    DoublePairFactory.create(pk=7002)
    AccessTokenFactory.create(group=made, prefix=PREFIX, expires_at=timezone.now() + timedelta(1))
    return made


def submission_of(group: Group) -> str:
    return str(group.submissions.order_by("id")[0].public_key)


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize("door", EVERY_DOOR, ids=name_of)
def test_nobody_is_asked_for_a_token(door: Door) -> None:
    answer = knock(Actor(), door)

    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"] == 'Bearer realm="drilosphere"'
    assert answer.headers["Cache-Control"] == "private, no-store"


@pytest.mark.parametrize("door", EVERY_DOOR, ids=name_of)
def test_token_not_in_force_is_refused_in_the_same_words(group: Group, door: Door) -> None:
    revoked = holder_of(group, *ALL_OF_A_GROUP)
    revoke_token(token=AccessToken.objects.order_by("-id")[0], at=timezone.now())
    expired = holder_of(group, *ALL_OF_A_GROUP, lifetime_days=9)

    documents = []
    for caller in (Actor("garbage"), Actor("dri000000_" + "A" * 43), expired, revoked):
        answer = knock(caller, door)
        assert answer.status_code == 401
        assert answer.headers["WWW-Authenticate"] == 'Bearer realm="drilosphere"'
        documents.append(answer.json() | {"instance": ""})

    assert documents == [documents[0]] * 4


@pytest.mark.parametrize(
    "header", ["Basic dXNlcjpwYXNz", "Bearer", "Bearer ", "Token abc", "bearer\tabc", "Bearer é"]
)
def test_header_without_a_known_token_is_refused(group: Group, header: str) -> None:
    del group

    answer = Actor().get("/api/v1/partner/me", Authorization=header)

    assert answer.status_code == 401


def test_token_in_the_address_is_not_read(group: Group) -> None:
    caller = holder_of(group, "read")
    secret = caller.headers["Authorization"].removeprefix("Bearer ")

    for name in ("token", "access_token", "Authorization"):
        assert Actor().get(f"/api/v1/partner/me?{name}={secret}").status_code == 401


@pytest.mark.parametrize("door", PARTNER_DOORS, ids=name_of)
def test_token_needs_the_scope_of_the_door(group: Group, door: Door) -> None:
    others = [scope for scope in AccessToken.SCOPES if scope != door.scope]
    submission = submission_of(group)

    answer = knock(holder_of(group, *others), door, submission)

    assert answer.status_code == 403
    assert answer.json()["type"].endswith("/problems/scope-missing")
    assert knock(holder_of(group, door.scope), door, submission).status_code in {200, 201, 204, 409}


@pytest.mark.parametrize("door", REVIEW_DOORS, ids=name_of)
def test_reviewer_token_needs_the_scope_of_the_door(group: Group, door: Door) -> None:
    del group
    reviewer = ReviewerFactory.create(is_steward=True)
    others = [scope for scope in AccessToken.SCOPES if scope != door.scope]

    answer = knock(holder_of(reviewer, *others), door)

    assert answer.status_code == 403
    assert answer.json()["type"].endswith("/problems/scope-missing")
    assert knock(holder_of(reviewer, door.scope), door).status_code in {200, 201, 204}


@pytest.mark.parametrize("door", PARTNER_DOORS, ids=name_of)
def test_reviewer_is_refused_on_the_partner_face(group: Group, door: Door) -> None:
    reviewer = holder_of(ReviewerFactory.create(is_steward=True), *AccessToken.SCOPES)

    answer = knock(reviewer, door, submission_of(group))

    assert answer.status_code == 403
    assert answer.json()["detail"] == "This address is for a group's token."


@pytest.mark.parametrize("door", REVIEW_DOORS, ids=name_of)
def test_group_is_refused_on_the_review_face(group: Group, door: Door) -> None:
    answer = knock(holder_of(group, *AccessToken.SCOPES), door)

    assert answer.status_code == 403
    assert answer.json()["detail"] == "This address is for a reviewer's token."


@pytest.mark.parametrize("door", OWNED, ids=name_of)
def test_record_of_another_group_is_as_unknown_as_none(group: Group, door: Door) -> None:
    stranger = holder_of(GroupFactory.create(code="OTHER"), *ALL_OF_A_GROUP, "coordinate")
    submission = submission_of(group)
    unknown = Door(
        door.method,
        re.sub(f"{REF}|{TRIAL_REF}|(?<=/)QVD-07", "QVD-99", door.address)
        .replace(GRANT, NO_GRANT)
        .replace(PREFIX, NO_PREFIX)
        .replace(JOB, NO_JOB),
        door.scope,
        door.body,
    )

    theirs = knock(stranger, door, submission)
    none = knock(stranger, unknown)

    assert theirs.status_code == none.status_code == 404
    assert theirs.json() | {"instance": ""} == none.json() | {"instance": ""}
    assert len(theirs.content) == len(none.content)
    counted_down = {"RateLimit": ""}
    assert dict(theirs.headers) | counted_down == dict(none.headers) | counted_down


def test_lists_hold_own_records_only(group: Group) -> None:
    stranger_group = GroupFactory.create(code="OTHER")
    stranger = holder_of(stranger_group, *ALL_OF_A_GROUP)

    assert stranger.get(SUBMISSIONS).json()["data"] == []
    assert stranger.get(VISITS).json()["data"] == []
    assert stranger.get(TRIALS).json()["data"] == []
    before = stranger.get(f"{SUBMISSIONS}?before={submission_of(group)}")
    assert before.status_code == 404


def test_same_references_in_two_groups_do_not_meet(group: Group) -> None:
    del group
    _, other = partner("OTHER")

    sent_visit(other, visit_of(1, people_digging=9))

    assert other.get(f"{VISITS}/{REF}").status_code == 200


@pytest.mark.parametrize("door", EVERY_DOOR, ids=name_of)
def test_every_answer_is_private(group: Group, door: Door) -> None:
    for caller in (holder_of(group, *ALL_OF_A_GROUP), Actor()):
        answer = knock(caller, door, submission_of(group))
        assert answer.headers["Cache-Control"] == "private, no-store"


@pytest.mark.parametrize("door", EVERY_DOOR, ids=name_of)
def test_method_that_is_not_there_is_405_for_a_token_and_401_without(
    group: Group, door: Door
) -> None:
    holder = group if door in PARTNER_DOORS else ReviewerFactory.create()
    address = door.address.replace("SUBMISSION", str(uuid4()))

    answer = holder_of(holder, "read", "review").client.patch(
        address, headers=holder_of(holder, "read", "review").headers
    )

    assert answer.status_code == 405
    assert door.method.upper() in answer.headers["Allow"]
    assert Actor().client.patch(address).status_code == 401


def test_use_of_a_token_is_noted(group: Group) -> None:
    caller = holder_of(group, "read")

    first = caller.get("/api/v1/partner/me").json()
    second = caller.get("/api/v1/partner/me").json()

    assert first["group"] == "QVD"
    assert first["token"]["scopes"] == ["read"]
    assert first["last_used_at"] is None
    assert second["last_used_at"] is not None
    last = AccessToken.objects.order_by("-id")[0]
    assert last.last_used_at is not None
    assert timezone.now() - last.last_used_at < timedelta(minutes=1)
    assert "sha256" not in str(second)
