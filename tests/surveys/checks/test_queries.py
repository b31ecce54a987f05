"""Which kept outcomes a person should look at, by the policy of today."""

import pytest

from surveys.checks.policy import PROGRAMME
from surveys.checks.queries import Concern, concerns
from tests.factories.private import CheckOutcomeFactory, VisitFactory

pytestmark = pytest.mark.django_db

LABELS: dict[str, str] = {
    action: next(label for label in labels if label.startswith("VALIDATION"))
    for action, labels in PROGRAMME.items()
    if action != "propose"
}


@pytest.mark.parametrize(("action", "counts"), [("block", True), ("hold", True), ("note", False)])
def test_fault_is_a_concern_if_its_policy_holds_or_blocks(*, action: str, counts: bool) -> None:
    label = LABELS[action]
    outcome = CheckOutcomeFactory.create(
        label=label, result="NOT_COMPLIANT", comment="Look.", pointer="/pits/0"
    )

    found = concerns(outcome.visit)

    assert found == ([Concern(label, action, "Look.", "/pits/0")] if counts else [])


@pytest.mark.parametrize(
    ("status", "result", "counts"),
    [
        ("RUN_HAS_RESULT", "NOT_COMPLIANT", True),
        ("RUN_HAS_RESULT", "POTENTIAL_ISSUE", True),
        ("RUN_HAS_RESULT", "COMPLIANT", False),
        ("RUN_HAS_RESULT", "NOT_ISSUE", False),
        ("INTERNAL_PREREQUISITES_NOT_MET", "", False),
        ("EXTERNAL_PREREQUISITES_NOT_MET", "", False),
    ],
)
def test_only_faults_are_concerns(*, status: str, result: str, counts: bool) -> None:
    outcome = CheckOutcomeFactory.create(label=LABELS["hold"], status=status, result=result)

    assert bool(concerns(outcome.visit)) is counts


def test_proposal_is_no_concern_by_itself() -> None:
    label = PROGRAMME["propose"][0]
    outcome = CheckOutcomeFactory.create(label=label, status="AMENDED", result="")

    assert concerns(outcome.visit) == []


def test_concern_of_an_earlier_revision_is_over() -> None:
    visit = VisitFactory.create(revision=2)
    fault = {"visit": visit, "label": LABELS["hold"], "result": "NOT_COMPLIANT"}
    CheckOutcomeFactory.create(revision=1, **fault)

    assert concerns(visit) == []

    CheckOutcomeFactory.create(revision=2, **fault)
    assert len(concerns(visit)) == 1


def test_concerns_of_other_visits_are_theirs() -> None:
    CheckOutcomeFactory.create(label=LABELS["hold"], result="NOT_COMPLIANT")

    assert concerns(VisitFactory.create()) == []


def test_concerns_are_listed_in_the_order_found() -> None:
    visit = VisitFactory.create()
    labels = [LABELS["hold"], LABELS["block"], "VALIDATION_COORDINATES_NOTZERO", LABELS["hold"]]
    for label in labels:
        CheckOutcomeFactory.create(visit=visit, label=label, result="NOT_COMPLIANT")

    assert [concern.label for concern in concerns(visit)] == labels


def test_concern_says_where_in_the_text() -> None:
    outcome = CheckOutcomeFactory.create(
        label=LABELS["hold"], result="POTENTIAL_ISSUE", arguments={"spans": "5-13"}
    )

    (concern,) = concerns(outcome.visit)

    assert concern.spans == "5-13"
