"""A group takes all of its data with it: every line, with history, and nothing of another group."""

import json
from typing import Any

import pytest
from django.utils import timezone

from portal.personal.group_data import group_data
from surveys.people.models import AccessToken, Consent, Group, Participant
from surveys.sites.models import Site
from surveys.visits.models import Count, Pit, Visit
from tests.api.answers import bytes_of
from tests.api.holders import SUBMISSIONS, VISITS, holder_of, partner, sent_visit, visit_of
from tests.factories.calibration import CalibrationTrialFactory
from tests.factories.private import ExactPermissionFactory, PhotoFactory, put
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db
EXPORT = "/api/v1/partner/export"


@pytest.fixture
def full() -> tuple[Group, Actor]:
    """Return a group with something in every table, and another group beside it."""
    group, caller = partner()
    sent_visit(caller, visit_of(1))
    tag = caller.get(f"{VISITS}/QVD-S01").headers["ETag"]
    changed = put(visit_of(1), "/pits/0/phases/0/counts/0/number", 5)
    changed = put(changed, "/pits/0/total", None)
    corrected = caller.put(f"{VISITS}/QVD-S01", changed, **{"If-Match": tag})
    assert corrected.status_code == 200, corrected.json()
    caller.post(SUBMISSIONS, {"visits": [{"odd": 1}]})
    visit = Visit.objects.get()
    ExactPermissionFactory.create(site=visit.site, participant=visit.site.owner)
    PhotoFactory.create(pit=visit.current_pits()[0])
    CalibrationTrialFactory.create(group=group, observer=visit.participant)
    _, other = partner("OTHER")
    sent_visit(other, visit_of(2))
    return group, caller


def exported(group: Group) -> list[dict[str, Any]]:
    return [json.loads(line) for line in group_data(group, at=timezone.now())]


def of_kind(lines: list[dict[str, Any]], kind: str) -> list[dict[str, Any]]:
    return [line for line in lines if line["kind"] == kind]


def test_every_row_of_the_group_is_there(full: tuple[Group, Actor]) -> None:
    group, _ = full

    lines = exported(group)

    tables = {
        "participant": Participant.objects.filter(group=group),
        "place": Site.objects.filter(group=group),
        "visit": Visit.objects.filter(group=group),
        "submission": group.submissions.all(),
        "calibration": group.trials.all(),
        "token": AccessToken.objects.filter(group=group),
    }
    for kind, rows in tables.items():
        assert len(of_kind(lines, kind)) == rows.count() > 0, kind
    assert len(of_kind(lines, "photo")) == 1
    consents = [one for line in of_kind(lines, "participant") for one in line["consents"]]
    assert len(consents) == Consent.objects.filter(participant__group=group).count() > 0
    assert lines[-1] == {"kind": "end", "lines": len(lines) - 1}


def test_history_is_kept_and_nothing_is_rounded(full: tuple[Group, Actor]) -> None:
    group, _ = full

    (visit,) = of_kind(exported(group), "visit")

    assert [one["revision"] for one in visit["revisions"]] == [1, 2]
    pits = [pit for one in visit["revisions"] for pit in one["pits"]]
    counts = [line for pit in pits for step in pit["steps"] for line in step["counts"]]
    assert len(pits) == Pit.objects.filter(visit__group=group).count()
    assert len(counts) == Count.objects.filter(phase__pit__visit__group=group).count()
    assert {one["revision"] for one in visit["findings"]} == {1, 2}


def test_what_was_sent_is_there_word_for_word(full: tuple[Group, Actor]) -> None:
    group, _ = full
    rows = {str(one.public_key): bytes(one.body) for one in group.submissions.all()}

    sent = {one["id"]: one["body"].encode() for one in of_kind(exported(group), "submission")}

    assert sent == rows
    assert b"odd" in b"".join(sent.values())


def test_nothing_of_another_group_and_no_secret_is_there(full: tuple[Group, Actor]) -> None:
    group, caller = full
    secret = caller.headers["Authorization"].removeprefix("Bearer ")
    text = "".join(group_data(group, at=timezone.now()))

    assert "QVD-S02" not in text
    assert "OTHER" not in text
    assert secret not in text
    assert AccessToken.objects.order_by("id")[0].sha256 not in text


def test_coordinator_downloads_it(full: tuple[Group, Actor]) -> None:
    group, caller = full

    answer = holder_of(group, "coordinate").get(EXPORT)

    lines = bytes_of(answer).decode().splitlines()
    assert answer.headers["Content-Type"] == "application/x-ndjson"
    assert answer.headers["Content-Disposition"].startswith('attachment; filename="QVD-')
    assert json.loads(lines[0])["code"] == "QVD"
    assert json.loads(lines[-1])["lines"] == len(lines) - 1
    assert caller.get(EXPORT).status_code == 403
