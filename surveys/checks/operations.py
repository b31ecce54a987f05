"""Run the checks on a visit and keep what they said."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from surveys.checks.models import CheckOutcome
from surveys.checks.registry import Finding, run_programme
from surveys.visits.facts import Surroundings, VisitFacts
from surveys.visits.models import Visit


def check_visit(facts: VisitFacts, around: Surroundings) -> list[Finding]:
    """Return what every check says of a visit."""
    return run_programme(facts, around)


def keep_outcomes(*, visit: Visit, findings: Sequence[Finding], at: datetime) -> None:
    """Store findings beside the revision they looked at; call inside a transaction."""
    CheckOutcome.objects.bulk_create(
        CheckOutcome(
            visit=visit,
            revision=visit.revision,
            label=finding.label,
            version=finding.version,
            source=finding.source,
            status=finding.response.status,
            result=_word(finding),
            proposal=_proposal(finding),
            comment=finding.response.comment,
            pointer=finding.response.pointer,
            arguments=dict(finding.response.arguments),
            run_at=at,
        )
        for finding in findings
    )


def _word(finding: Finding) -> str:
    result = finding.response.result
    return "" if result is None or isinstance(result, Mapping) else str(result)


def _proposal(finding: Finding) -> dict[str, str]:
    result = finding.response.result
    return dict(result) if isinstance(result, Mapping) else {}
