"""A pupil of a school club with two keys, and the day on which the pupil comes of age.

Everything is told through the service; only the clock is moved, and the daily run started.
"""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from unittest.mock import patch

import pytest
from django.core.management import call_command
from django.utils import timezone

from surveys.people.models import Group
from surveys.people.receipts import is_whole
from tests.journeys.actors import Actor, garden_visit, office

HOUSEHOLDS = range(1, 6)
PUPIL = "QVD-01"
PARTICIPANTS = "/api/v1/partner/participants"
DAY = timedelta(days=1)

pytestmark = pytest.mark.django_db


def test_pupil_comes_of_age() -> None:
    group, club, reviewer, steward = office()
    Group.objects.filter(pk=group.pk).update(is_of_children=True)
    today = timezone.now()
    birthday = today.replace(hour=0, minute=5) + 40 * DAY
    _register(club, birthday.date())
    _send(club, reviewer)

    # The guardian alone is not enough: the first release is without the pupil's visit.
    _release(steward, today + DAY / 2)
    assert (_in_force(club), len(_shown(1))) == (False, 4)

    # The child says yes too, aloud, and the next release has it.
    _answer(club, _said("self", evidence="spoken"))
    _release(steward, today + DAY)
    visit = _public_id(club)
    assert _in_force(club)
    assert visit in _shown(2)

    # The birthday comes. Nobody remembers it but the daily run; a guardian's word is over.
    told_until = _told(None)[0]
    with _clock(birthday):
        call_command("hidelapsed")
        assert not _in_force(club)
        assert visit not in _shown(2)
        assert _told(told_until)[1][visit] == "removed"
        assert _answer(club, _said("guardian"))["errors"][0]["code"] == "guardian-of-adult"

    # Twenty days later the person agrees alone, and the next release shows the visit again.
    with _clock(birthday + 20 * DAY):
        receipts = _answer(club, _said("self", evidence="online_page"))["receipts"]
        assert [is_whole(receipt) for receipt in receipts] == [True]
        assert _in_force(club)
        assert visit not in _shown(2)
    told_until = _told(None)[0]
    _release(steward, birthday + 21 * DAY)
    assert visit in _shown(2) & _shown(3)
    assert _told(told_until)[1][visit] == "added"
    assert _history(club) == ["guardian", "self", "self"]


def _said(given_by: str, **facts: Any) -> dict[str, Any]:
    answer = {"purpose": "publish", "decision": "given", "given_by": given_by}
    return answer | {"statement_version": "1", "language": "en"} | facts


def _register(club: Actor, birthday: date) -> None:
    born_on = birthday.replace(year=birthday.year - 18).isoformat()
    for number in HOUSEHOLDS:
        body: dict[str, Any] = {"household": f"house-{number}", "of_age_by": "2020-01-01"}
        body["consents"] = [_said("self")]
        if number == HOUSEHOLDS[0]:
            guardian = _said("guardian", evidence="paper_form", evidence_ref="folder-3")
            body = {"household": "house-1", "born_on": born_on, "consents": [guardian]}
        assert club.put(f"{PARTICIPANTS}/QVD-{number:02}", body).status_code == 200


def _send(club: Actor, reviewer: Actor) -> None:
    batch = {"visits": [garden_visit(number) for number in HOUSEHOLDS]}
    stored = club.post("/api/v1/partner/submissions", batch).json()["summary"]["stored"]
    assert stored == len(HOUSEHOLDS)
    for visit in reviewer.get("/api/v1/review/waiting").json()["data"]:
        decision = {"decision": "accepted"}
        address = f"/api/v1/review/visits/QVD/{visit['client_ref']}/decision"
        seen = {"If-Match": visit["etag"]}
        assert reviewer.post(address, decision, **seen).status_code == 200


def _answer(club: Actor, said: dict[str, Any]) -> dict[str, Any]:
    body = {"household": "house-1", "consents": [said]}
    told: dict[str, Any] = club.put(f"{PARTICIPANTS}/{PUPIL}", body).json()
    return told


def _in_force(club: Actor) -> bool:
    told = club.get(f"{PARTICIPANTS}/{PUPIL}/consents").json()
    return bool(told["in_force"]["publish"])


def _history(club: Actor) -> list[str]:
    told = club.get(f"{PARTICIPANTS}/{PUPIL}/consents").json()
    return [one["given_by"] for one in told["data"]]


def _public_id(club: Actor) -> str:
    return str(club.get("/api/v1/partner/visits/QVD-S01").json()["public_id"])


def _release(steward: Actor, at: datetime) -> None:
    with _clock(at):
        assert steward.post("/api/v1/review/releases").status_code == 201


def _shown(release: int) -> set[str]:
    return {row["id"] for row in Actor().rows(f"/api/v1/visits?release={release}")}


def _told(since: str | None) -> tuple[str, dict[str, str]]:
    """Return where the feed of changes ends, and what it tells of each visit."""
    following: str | None = "/api/v1/changes" + (f"?since={since}" if since else "")
    told: dict[str, str] = {}
    while following:
        page = Actor().get(following).json()
        told |= {one["id"]: one["change"] for one in page["data"] if one["kind"] == "visit"}
        resume, following = page["meta"]["resume"], page["links"]["next"]
    return str(resume), told


def _clock(at: datetime) -> Any:
    return patch("django.utils.timezone.now", return_value=at.astimezone(UTC))
