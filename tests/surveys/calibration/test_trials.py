"""Trials as stored, and what they say."""

from datetime import date
from typing import Any

import pytest
from django.db import IntegrityError
from django.db.models import QuerySet

from surveys.audit.models import AuditEntry
from surveys.calibration.models import CalibrationTrial, TrialKind
from surveys.calibration.operations import LineFacts, NotOneGroup, TrialFacts, record_trial
from surveys.calibration.queries import agreement, detection
from surveys.people.models import Participant
from tests.factories.calibration import CalibrationLineFactory, CalibrationTrialFactory
from tests.factories.private import NOW, ParticipantFactory, loaded

pytestmark = pytest.mark.django_db


def trials(step: str, **more: Any) -> QuerySet[CalibrationTrial]:
    return CalibrationTrial.objects.filter(step=step, **more)


def facts(observer: Participant, **changes: Any) -> TrialFacts:
    parts: dict[str, Any] = {
        "client_ref": "QVD-T1",
        "protocol": loaded("contrast-pit/2"),
        "step": "hand_sort",
        "observer": observer,
        "held_on": date(2025, 4, 12),
        "lines": (LineFacts("anecic", "adult", 10, 7), LineFacts("epigeic", "adult", 8, 8)),
    }
    return TrialFacts(**parts | changes)


@pytest.fixture
def observer() -> Participant:
    made: Participant = ParticipantFactory.create(code="QVD-07")
    return made


def test_trial_of_known_numbers_is_stored_and_told_by_group(observer: Participant) -> None:
    trial = record_trial(facts=facts(observer), at=NOW)

    found = detection(trials("hand_sort"))
    assert (trial.kind, trial.group) == (TrialKind.KNOWN_NUMBERS, observer.group)
    assert [str(line) for line in trial.lines.all()] == [
        "QVD-T1 anecic adult",
        "QVD-T1 epigeic adult",
    ]
    assert {group: one.share.share for group, one in found.items() if one.share} == {
        "anecic": 0.7,
        "epigeic": 1.0,
    }
    assert detection(trials("expellant")) == agreement(trials("hand_sort")) == {}
    entry = AuditEntry.objects.get(action="trial recorded")
    assert entry.subject_key == f"{observer.group.code}/QVD-T1"


def test_trial_of_two_observers_is_agreement_not_detection(observer: Participant) -> None:
    first = ParticipantFactory.create(group=observer.group)

    trial = record_trial(facts=facts(observer, first_observer=first), at=NOW)

    assert trial.kind == TrialKind.TWO_OBSERVERS
    assert agreement(trials("hand_sort"))["anecic"].first == 10
    assert detection(trials("hand_sort")) == {}


def test_observers_of_two_groups_are_refused(observer: Participant) -> None:
    stranger = ParticipantFactory.create()

    with pytest.raises(NotOneGroup):
        record_trial(facts=facts(observer, first_observer=stranger), at=NOW)

    assert not CalibrationTrial.objects.exists()


def test_trials_of_one_observer_are_told_apart(observer: Participant) -> None:
    CalibrationLineFactory.create(trial__observer=observer, known=10, observed=4)
    CalibrationLineFactory.create(known=10, observed=10)

    assert detection(trials("hand_sort", observer=observer))["anecic"].observed == 4
    assert detection(trials("hand_sort"))["anecic"].observed == 14


@pytest.mark.parametrize(
    ("constraint", "wrong"),
    [
        ("trial_first_observer_with_kind", {"kind": "two_observers"}),
        ("trial_first_observer_with_kind", {"first": True}),
        ("trial_first_observer_with_kind", {"kind": "guess"}),
        ("trial_observers_differ", {"kind": "two_observers", "first": "observer"}),
        ("trial_step_known", {"step": "electric_shock"}),
    ],
)
def test_database_refuses_a_trial_that_must_never_be(
    observer: Participant, constraint: str, wrong: dict[str, Any]
) -> None:
    first = wrong.pop("first", None)
    if first is not None:
        same = first == "observer"
        wrong["first_observer"] = observer if same else ParticipantFactory.create()

    with pytest.raises(IntegrityError) as refusal:
        CalibrationTrialFactory.create(observer=observer, **wrong)

    assert constraint in str(refusal.value)


@pytest.mark.parametrize("wrong", [{"group": "swimming"}, {"stage": "pupa"}])
def test_database_refuses_a_line_of_unknown_words(wrong: dict[str, str]) -> None:
    with pytest.raises(IntegrityError) as refusal:
        CalibrationLineFactory.create(**wrong)

    assert "trial_line_words_known" in str(refusal.value)


def test_database_refuses_a_trial_or_line_twice() -> None:
    line = CalibrationLineFactory.create()

    with pytest.raises(IntegrityError):
        CalibrationLineFactory.create(trial=line.trial)


def test_database_refuses_a_reference_twice_in_a_group(observer: Participant) -> None:
    CalibrationTrialFactory.create(observer=observer, client_ref="T-1")
    CalibrationTrialFactory.create(client_ref="T-1")

    with pytest.raises(IntegrityError):
        CalibrationTrialFactory.create(observer=observer, client_ref="T-1")
