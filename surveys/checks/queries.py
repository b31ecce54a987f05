"""What the checks said of a visit, seen through the policy of today."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from surveys.checks.models import CheckOutcome
from surveys.checks.policy import decide_on
from surveys.visits.models import Visit


@dataclass(frozen=True)
class Concern:
    """A finding that a person should look at; ``spans`` say where in the text, "5-13 20-24"."""

    label: str
    action: str
    comment: str
    pointer: str
    spans: str = ""


@dataclass(frozen=True)
class Outcome:
    """What one check said of a visit, and what follows from it by the policy of today.

    ``parameters`` are those that held in place of the protocol's own.
    """

    label: str
    version: str
    status: str
    result: str
    action: str
    comment: str
    pointer: str
    proposal: dict[str, str]
    parameters: dict[str, Any]
    run_at: datetime
    superseded_at: datetime | None


def quality_report(visit: Visit) -> list[Outcome]:
    """Return all that the checks said of a visit's newest revision, in their order.

    Outcomes of a run that a later one replaced come with the instant when it did.
    """
    outcomes = visit.outcomes.filter(revision=visit.revision).select_related("setting")
    return [
        Outcome(
            label=outcome.label,
            version=outcome.version,
            status=outcome.status,
            result=outcome.result,
            action=_action(outcome),
            comment=outcome.comment,
            pointer=outcome.pointer,
            proposal=outcome.proposal,
            parameters={} if outcome.setting is None else outcome.setting.parameters,
            run_at=outcome.run_at,
            superseded_at=outcome.superseded_at,
        )
        for outcome in outcomes.order_by("id")
    ]


def concerns(visit: Visit) -> list[Concern]:
    """Return what the checks hold against a visit's newest revision."""
    outcomes = CheckOutcome.objects.filter(
        visit=visit, revision=visit.revision, superseded_at__isnull=True
    )
    found = [
        Concern(
            label=outcome.label,
            action=_action(outcome),
            comment=outcome.comment,
            pointer=outcome.pointer,
            spans=outcome.arguments.get("spans", ""),
        )
        for outcome in outcomes
    ]
    return [concern for concern in found if concern.action in {"hold", "block"}]


def _action(outcome: CheckOutcome) -> str:
    return decide_on(outcome.label, outcome.status, outcome.result)
