"""A personal link from the group's side."""

from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.test import Client
from django.utils import timezone

from surveys.audit.models import AuditEntry
from surveys.people.models import Consent, Participant, PersonalLink
from tests.api.holders import holder_of
from tests.api.partners.conftest import Partner
from tests.factories.private import ConsentFactory, GroupFactory
from tests.journeys.actors import Actor

ADDRESS = "/api/v1/partner/participants/QVD-07/link"


def test_link_opens_the_page_of_the_participant_for_seven_days(diggers: Partner) -> None:
    before = timezone.now()

    answer = diggers.caller.post(ADDRESS)

    assert answer.status_code == 201
    body = answer.json()
    assert set(body) == {"url", "expires_at"}
    assert body["url"].startswith("http://localhost:8000/my/")
    expires_at = datetime.strptime(body["expires_at"], "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)
    assert abs(expires_at - before - timedelta(days=7)) < timedelta(minutes=1)
    page = Actor().get(body["url"])
    assert page.status_code == 200
    assert "QVD-07" in page.content.decode()
    assert answer.headers["Cache-Control"] == "private, no-store"


def test_days_are_a_setting(diggers: Partner, settings: Any) -> None:
    settings.PERSONAL_LINK_DAYS = 2

    diggers.caller.post(ADDRESS)

    link = PersonalLink.objects.get()
    assert link.expires_at - link.issued_at == timedelta(days=2)


def test_new_link_ends_the_one_before(diggers: Partner) -> None:
    first = diggers.caller.post(ADDRESS).json()["url"]

    second = diggers.caller.post(ADDRESS).json()["url"]

    assert [Actor().get(url).status_code for url in (first, second)] == [404, 200]


def test_link_is_in_the_trail_without_its_secret(diggers: Partner) -> None:
    url = diggers.caller.post(ADDRESS).json()["url"]

    entry = AuditEntry.objects.get(action="personal link issued")
    assert (entry.actor, entry.subject_key) == ("group QVD", "QVD/QVD-07")
    assert urlsplit(url).path.removeprefix("/my/") not in str(entry.detail)


def test_host_header_cannot_bend_the_link(diggers: Partner) -> None:
    answer = diggers.caller.client.post(
        ADDRESS,
        "{}",
        content_type="application/json",
        headers=diggers.caller.headers | {"Host": "127.0.0.1"},
    )

    assert answer.json()["url"].startswith("http://localhost:8000/my/")


@pytest.mark.parametrize("scopes", [("read",), ("submit",), ("read", "submit")])
def test_link_needs_the_scope_that_it_gives_away(diggers: Partner, scopes: tuple[str, ...]) -> None:
    assert holder_of(diggers.group, *scopes).post(ADDRESS).status_code == 403
    assert not PersonalLink.objects.exists()


def test_participant_of_another_group_is_as_unknown_as_none(diggers: Partner) -> None:
    stranger = holder_of(GroupFactory.create(code="OTHER"), "withdraw")

    theirs = stranger.post(ADDRESS)
    none = diggers.caller.post(ADDRESS.replace("QVD-07", "QVD-99"))

    assert theirs.status_code == none.status_code == 404
    assert theirs.json() | {"instance": ""} == none.json() | {"instance": ""}
    assert not PersonalLink.objects.exists()


def test_unknown_parameter_is_refused(diggers: Partner) -> None:
    answer = diggers.caller.post(f"{ADDRESS}?days=90")

    assert answer.status_code == 400
    assert answer.json()["type"].endswith("/problems/parameter-unknown")
    assert not PersonalLink.objects.exists()


@pytest.fixture
def minor(diggers: Partner) -> Participant:
    """Return the participant as a child who agreed together with a guardian."""
    person = Participant.objects.get(code="QVD-07")
    person.born_on = timezone.now().date() - timedelta(days=15 * 365)
    person.save()
    ConsentFactory.create(participant=person, given_by="guardian", giver="mother")
    del diggers
    return person


def may_publish(person: Participant) -> bool:
    held = Consent.objects.in_force("publish", timezone.now())
    return held.filter(participant=person).exists()


def confirmed(url: str, below: str, **sent: str) -> int:
    status: int = Client().post(f"{urlsplit(url).path}{below}", sent).status_code
    return status


def test_guardian_has_a_link_beside_the_childs_own(diggers: Partner, minor: Participant) -> None:
    own = diggers.caller.post(ADDRESS).json()["url"]

    theirs = diggers.caller.post(ADDRESS, {"for": "guardian"}).json()["url"]

    pages = [Actor().get(url) for url in (own, theirs)]
    assert [page.status_code for page in pages] == [200, 200]
    assert ["parent or guardian: your no" in page.content.decode() for page in pages] == [
        False,
        True,
    ]
    assert may_publish(minor)


@pytest.mark.parametrize("sent", [{"purpose": "publish"}, {"everything": "yes"}])
def test_no_of_a_guardian_is_kept_as_theirs_and_counts(
    diggers: Partner, minor: Participant, sent: dict[str, str]
) -> None:
    url = diggers.caller.post(ADDRESS, {"for": "guardian"}).json()["url"]

    status = confirmed(url, "/taking-back" if "purpose" in sent else "/withdrawal", **sent)

    assert status == 303
    answer = minor.consents.order_by("-id")[0]
    assert (answer.decision, answer.given_by) == ("withdrawn", "guardian")
    assert not may_publish(minor)
    assert AuditEntry.objects.filter(action="consent withdrawn", actor="guardian").exists()


def test_no_of_the_child_wins_over_the_guardians_yes(diggers: Partner, minor: Participant) -> None:
    confirmed(diggers.caller.post(ADDRESS).json()["url"], "/taking-back", purpose="publish")

    ConsentFactory.create(
        participant=minor, given_by="guardian", giver="mother", decided_at=timezone.now()
    )

    assert not may_publish(minor)


@pytest.mark.parametrize("born_days_ago", [None, 40 * 365])
def test_nobody_gets_a_guardian_who_is_not_known_to_be_under_age(
    diggers: Partner, born_days_ago: int | None
) -> None:
    born_on = born_days_ago and timezone.now().date() - timedelta(days=born_days_ago)
    Participant.objects.filter(code="QVD-07").update(born_on=born_on)

    answer = diggers.caller.post(ADDRESS, {"for": "guardian"})

    assert (answer.status_code, answer.json()["parameter"]) == (400, "for")
    assert not PersonalLink.objects.exists()


def test_link_of_a_guardian_ends_on_coming_of_age(diggers: Partner, minor: Participant) -> None:
    url = diggers.caller.post(ADDRESS, {"for": "guardian"}).json()["url"]

    minor.born_on = timezone.now().date() - timedelta(days=19 * 365)
    minor.save()

    assert Actor().get(url).status_code == 404


def test_link_is_for_the_person_or_a_guardian_only(diggers: Partner) -> None:
    answer = diggers.caller.post(ADDRESS, {"for": "neighbour"})

    assert answer.status_code == 400
    assert answer.json()["allowed"] == ["self", "guardian"]
