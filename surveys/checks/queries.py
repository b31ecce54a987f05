"""What the checks said of a visit, seen through the policy of today."""

from dataclasses import dataclass

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


def concerns(visit: Visit) -> list[Concern]:
    """Return what the checks hold against a visit's newest revision."""
    outcomes = CheckOutcome.objects.filter(visit=visit, revision=visit.revision)
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
