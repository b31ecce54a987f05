"""Which visits a release may show: by state, and by the history of consent."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError

from portal.publication import operations
from portal.publication.eligibility import (
    eligible_visits,
    practice_visits,
    shown_without_consent,
)
from portal.publication.operations import ReleaseRefused
from surveys.people.coordination import practice_space
from surveys.people.models import ConsentDecision, ConsentPurpose, Group
from surveys.visits.models import Visit, VisitState
from tests.factories.private import (
    ConsentFactory,
    GroupFactory,
    ParticipantFactory,
    VisitFactory,
)
from tests.portal.publication.villages import FIRST_AT, release, village, village_group

DAY = timedelta(days=1)
BEFORE, ON_THE_DAY, AFTER = FIRST_AT - DAY, FIRST_AT, FIRST_AT + DAY

pytestmark = pytest.mark.django_db


def visit_with(*answers: dict[str, Any], state: str = "accepted") -> Visit:
    """Make a visit whose participant answered so, in this order."""
    participant = ParticipantFactory.create()
    for answer in answers:
        ConsentFactory.create(participant=participant, **answer)
    visit: Visit = VisitFactory.create(participant=participant, state=state)
    return visit


HISTORIES: list[tuple[str, list[dict[str, Any]], bool]] = [
    ("given", [{"decided_at": BEFORE}], True),
    ("given at the very instant", [{"decided_at": ON_THE_DAY}], True),
    ("given later", [{"decided_at": AFTER}], False),
    ("never asked", [], False),
    ("pending", [{"decided_at": BEFORE, "decision": "pending"}], False),
    ("refused", [{"decided_at": BEFORE, "decision": "refused"}], False),
    (
        "given, then withdrawn",
        [{"decided_at": BEFORE - DAY}, {"decided_at": BEFORE, "decision": "withdrawn"}],
        False,
    ),
    (
        "given, withdrawn after the release",
        [{"decided_at": BEFORE}, {"decided_at": AFTER, "decision": "withdrawn"}],
        True,
    ),
    (
        "withdrawn, then given again",
        [{"decided_at": BEFORE - DAY, "decision": "withdrawn"}, {"decided_at": BEFORE}],
        True,
    ),
    (
        "given, then asked anew and not answered",
        [{"decided_at": BEFORE - DAY}, {"decided_at": BEFORE, "decision": "pending"}],
        False,
    ),
    (
        "two answers at one instant: the later row holds",
        [{"decided_at": BEFORE}, {"decided_at": BEFORE, "decision": "refused"}],
        False,
    ),
    ("ended on the day", [{"decided_at": BEFORE, "ends_on": FIRST_AT.date()}], False),
    ("ends the day after", [{"decided_at": BEFORE, "ends_on": AFTER.date()}], True),
    ("given for another purpose only", [{"decided_at": BEFORE, "purpose": "contact"}], False),
    (
        "refused for another purpose only",
        [
            {"decided_at": BEFORE},
            {"decided_at": BEFORE, "purpose": "photos", "decision": "refused"},
        ],
        True,
    ),
]


@pytest.mark.parametrize(
    ("history", "eligible"), [row[1:] for row in HISTORIES], ids=[row[0] for row in HISTORIES]
)
def test_consent_in_force_decides(history: list[dict[str, Any]], *, eligible: bool) -> None:
    visit = visit_with(*history)

    assert (visit in eligible_visits(FIRST_AT)) is eligible


@pytest.mark.parametrize("state", VisitState.values)
def test_only_accepted_visits_are_eligible(state: str) -> None:
    visit = visit_with({"decided_at": BEFORE}, state=state)

    assert (visit in eligible_visits(FIRST_AT)) is (state == "accepted")


def test_consent_of_another_person_does_not_count() -> None:
    visit = visit_with()
    ConsentFactory.create(
        participant=ParticipantFactory.create(group=visit.group, household="same house")
    )

    assert not eligible_visits(FIRST_AT).exists()


def test_visits_without_consent_are_counted() -> None:
    visit_with({"decided_at": BEFORE})
    visit_with({"decided_at": BEFORE, "decision": ConsentDecision.REFUSED})
    visit_with({"decided_at": BEFORE, "purpose": ConsentPurpose.CONTACT})

    assert shown_without_consent(FIRST_AT, Visit.objects.all()) == 2
    assert shown_without_consent(FIRST_AT, eligible_visits(FIRST_AT)) == 0


def accepted_in_practice() -> Visit:
    """Return a visit of a practice space to which nothing else is missing."""
    visit = visit_with({"decided_at": BEFORE})
    Group.objects.filter(pk=visit.group_id).update(
        practice_of=GroupFactory.create(code="REAL"), code="practice-1"
    )
    return visit


def test_practice_is_never_eligible() -> None:
    practised = accepted_in_practice()

    assert not eligible_visits(FIRST_AT).exists()
    assert practice_visits(Visit.objects.filter(pk=practised.pk)) == 1


def test_release_refuses_to_show_practice(monkeypatch: pytest.MonkeyPatch) -> None:
    group = village_group()
    village(group, range(7))
    real = GroupFactory.create(code="REAL")
    Group.objects.filter(pk=group.pk).update(practice_of=real, named_publicly=False)
    everything = Visit.objects.filter(state="accepted").order_by("id")
    monkeypatch.setattr(operations, "eligible_visits", lambda _: everything)

    with pytest.raises(ReleaseRefused, match="practice"):
        release(1)


def test_group_of_practice_is_never_named_publicly() -> None:
    space = practice_space(GroupFactory.create(named_publicly=True))

    space.named_publicly = True

    with pytest.raises(IntegrityError):
        space.save()
