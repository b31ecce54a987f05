"""Run the checks on a visit, and keep what they said now and before."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import Q

from surveys.checks.bdq.at_intake import run_on_visit
from surveys.checks.models import CheckOutcome, DoublePair
from surveys.checks.queries import concerns
from surveys.checks.registry import Finding, run_programme
from surveys.protocol.queries import checked_with, setting_in_force
from surveys.visits.facts import Surroundings, VisitFacts
from surveys.visits.models import Visit
from surveys.visits.queries import surroundings, visits_alike
from surveys.visits.stored import facts_of


def check_visit(facts: VisitFacts, around: Surroundings) -> list[Finding]:
    """Return what every check says of a visit: the programme's own, then the published tests."""
    return [*run_programme(facts, around), *run_on_visit(facts, around.received_on)]


def keep_outcomes(*, visit: Visit, findings: Sequence[Finding], at: datetime) -> None:
    """Store findings beside the revision they looked at; call inside a transaction.

    Visits of any group that may be this one are paired with it: for reviewers, not for the sender.
    """
    setting = setting_in_force(visit.protocol, at)
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
            setting=setting,
        )
        for finding in findings
    )
    _pair_doubles(visit, at)


@transaction.atomic
def check_again(*, visit: Visit, at: datetime) -> bool:
    """Check a stored visit with today's parameters beside the old outcomes; tell what it changed.

    Returns
    -------
    bool
        Whether the visit raises other concerns than before.
    """
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    facts, before = facts_of(visit), concerns(visit)
    around = surroundings(
        facts=facts,
        group=visit.group,
        participant=visit.participant,
        protocol=checked_with(visit.protocol, at),
        received_on=visit.received_at.date(),
    )
    earlier = visit.outcomes.filter(revision=visit.revision, superseded_at__isnull=True)
    earlier.update(superseded_at=at)
    keep_outcomes(visit=visit, findings=check_visit(facts, around), at=at)
    return concerns(visit) != before


def _pair_doubles(visit: Visit, at: datetime) -> None:
    """Pair a visit with those like it; what was paired with an earlier revision is forgotten.

    A pair that a reviewer judged stays judged.
    """
    either = Q(first=visit) | Q(second=visit)
    DoublePair.objects.filter(either, verdict="").delete()
    DoublePair.objects.bulk_create(
        (
            DoublePair(
                first=min(visit, other, key=_key), second=max(visit, other, key=_key), found_at=at
            )
            for other in visits_alike(visit)
        ),
        ignore_conflicts=True,
    )


def _key(visit: Visit) -> int:
    return visit.pk


def _word(finding: Finding) -> str:
    result = finding.response.result
    return "" if result is None or isinstance(result, Mapping) else str(result)


def _proposal(finding: Finding) -> dict[str, str]:
    result = finding.response.result
    return dict(result) if isinstance(result, Mapping) else {}
