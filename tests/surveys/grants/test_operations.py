"""Grants end by themselves, groups may veto them, and each read leaves a trace."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from surveys.audit.models import AuditEntry
from surveys.audit.operations import first_broken_entry
from surveys.grants.models import GrantField, ResearchGrant
from surveys.grants.operations import (
    Extent,
    GrantRefused,
    Researcher,
    end_grant,
    make_grant,
    read_places,
    veto_grant,
)
from surveys.grants.queries import exact_reads_of, grant_of
from surveys.people.models import Consent, Group
from surveys.visits.models import Visit
from tests.factories.private import (
    NOW,
    ConsentFactory,
    GroupFactory,
    ParticipantFactory,
    SiteFactory,
    VisitFactory,
)

ADA = Researcher("Ada Invented", "Institute of Nowhere", "ada@example.org")
BOTH = [GrantField.EXACT_PLACE, GrantField.DAY]

pytestmark = pytest.mark.django_db


def granted(groups: Sequence[Group], **changes: Any) -> tuple[ResearchGrant, str]:
    facts: dict[str, Any] = {
        "purpose": "Soil maps.",
        "fields": BOTH,
        "groups": groups,
        "starts_on": NOW.date(),
        "ends_on": NOW.date() + timedelta(days=30),
    }
    return make_grant(researcher=ADA, extent=Extent(**facts | changes), at=NOW, by="reviewer S1")


@pytest.fixture
def visit() -> Visit:
    """Return a published visit whose recorder lets vetted researchers see the place."""
    made: Visit = VisitFactory.create(state="accepted", public_id=uuid4())
    for purpose in ("publish", "exact_place"):
        ConsentFactory.create(participant=made.participant, purpose=purpose)
    return made


def seen(grant: ResearchGrant, visit: Visit, at: datetime = NOW) -> list[UUID]:
    assert visit.public_id is not None
    found = read_places(grant=grant, visit_ids=[visit.public_id], at=at)
    return [place.visit_id for place in found]


def test_grant_shows_place_and_day_and_every_read_is_in_the_trail(visit: Visit) -> None:
    grant, _ = granted([visit.group])
    assert visit.public_id is not None

    (place,) = read_places(grant=grant, visit_ids=[visit.public_id], at=NOW)

    site = visit.site
    assert (place.latitude, place.longitude) == (site.latitude, site.longitude)
    assert (place.uncertainty_m, place.visited_on) == (site.uncertainty_m, visit.visited_on)
    (read,) = exact_reads_of(visit.participant)
    assert (read.researcher, read.institution, read.purpose) == (
        ADA.name,
        ADA.institution,
        "Soil maps.",
    )
    assert (read.at, read.visit, read.site) == (NOW, visit.client_ref, site.code)
    assert read.fields == ("exact_place", "day")
    assert first_broken_entry() is None


def test_read_without_its_entry_in_the_trail_gives_nothing(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(**_: object) -> None:
        raise RuntimeError

    grant, _ = granted([visit.group])
    monkeypatch.setattr("surveys.grants.operations.record", broken)

    with pytest.raises(RuntimeError):
        seen(grant, visit)

    assert exact_reads_of(visit.participant) == []


def test_read_concerns_the_owner_of_the_site_too(visit: Visit) -> None:
    owner = ParticipantFactory.create(group=visit.group)
    visit.site.owner = owner
    visit.site.save()
    grant, _ = granted([visit.group])
    assert seen(grant, visit) == [], "the owner did not consent"
    for purpose in ("publish", "exact_place"):
        ConsentFactory.create(participant=owner, purpose=purpose)

    assert seen(grant, visit) == [visit.public_id]

    assert len(exact_reads_of(owner)) == len(exact_reads_of(visit.participant)) == 1


def test_only_granted_fields_are_shown(visit: Visit) -> None:
    grant, _ = granted([visit.group], fields=[GrantField.DAY])
    assert visit.public_id is not None

    (place,) = read_places(grant=grant, visit_ids=[visit.public_id], at=NOW)

    assert (place.latitude, place.longitude, place.uncertainty_m) == (None, None, None)
    assert place.visited_on == visit.visited_on


@pytest.mark.parametrize("purpose", ["publish", "exact_place"])
def test_consent_withdrawn_ends_it_at_once(visit: Visit, purpose: str) -> None:
    grant, _ = granted([visit.group])
    ConsentFactory.create(
        participant=visit.participant, purpose=purpose, decision="withdrawn", decided_at=NOW
    )

    assert seen(grant, visit) == []
    assert exact_reads_of(visit.participant) == []


def test_without_a_word_about_exact_places_nothing_is_seen(visit: Visit) -> None:
    Consent.objects.filter(purpose="exact_place").delete()
    grant, _ = granted([visit.group])

    assert seen(grant, visit) == []


@pytest.mark.parametrize("change", [{"state": "withdrawn"}, {"state": "in_review"}])
def test_visit_that_is_not_accepted_is_not_seen(visit: Visit, change: dict[str, str]) -> None:
    Visit.objects.filter(pk=visit.pk).update(**change)
    grant, _ = granted([visit.group])

    assert seen(grant, visit) == []


def test_other_groups_are_not_covered(visit: Visit) -> None:
    grant, _ = granted([GroupFactory.create(code="OTHER")])

    assert seen(grant, visit) == []


def test_veto_takes_a_group_out_for_good_and_leaves_the_others(visit: Visit) -> None:
    other = GroupFactory.create(code="OTHER")
    grant, _ = granted([visit.group, other])
    veto_grant(grant=grant, group=other, reason="", at=NOW)
    assert seen(grant, visit) == [visit.public_id]

    for _ in range(2):
        veto_grant(grant=grant, group=visit.group, reason="Not for maps.", at=NOW)

    assert seen(grant, visit) == []
    assert grant.vetoes.count() == 2
    assert AuditEntry.objects.filter(action="grant vetoed").count() == 2


def test_token_opens_from_the_first_day_until_before_the_last(visit: Visit) -> None:
    start = NOW + timedelta(days=10)
    grant, token = granted(
        [visit.group], starts_on=start.date(), ends_on=start.date() + timedelta(days=5)
    )

    opens = [grant_of(token, start + timedelta(days=day)) for day in (-1, 0, 4, 5)]

    assert opens == [None, grant, grant, None]
    assert grant_of("drv000000_x", start) is None
    assert token not in str(ResearchGrant.objects.values())


def test_grant_is_ended_at_once_and_only_once(visit: Visit) -> None:
    grant, token = granted([visit.group])

    end_grant(grant=grant, at=NOW, by="reviewer S1")

    assert grant_of(token, NOW + timedelta(seconds=1)) is None
    with pytest.raises(GrantRefused, match="already"):
        end_grant(grant=grant, at=NOW, by="reviewer S1")


@pytest.mark.parametrize(
    "change",
    [
        {"fields": []},
        {"groups": []},
        {"ends_on": NOW.date()},
        {"starts_on": NOW.date() + timedelta(days=40)},
        {"starts_on": NOW.date() - timedelta(days=9), "ends_on": NOW.date() - timedelta(days=2)},
    ],
)
def test_grant_that_covers_nothing_is_refused(visit: Visit, change: dict[str, Any]) -> None:
    with pytest.raises(GrantRefused):
        granted(**{"groups": [visit.group]} | change)

    assert not ResearchGrant.objects.exists()


def test_site_of_nobody_concerned_is_not_read() -> None:
    grant, _ = granted([GroupFactory.create()])
    SiteFactory.create()

    assert read_places(grant=grant, visit_ids=[uuid4()], at=NOW) == []
