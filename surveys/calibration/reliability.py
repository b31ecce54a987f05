"""How verified pits stood: of one recorder, for the person only, or of all together."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import F, Q, QuerySet

from surveys.moderation.models import Decision
from surveys.people.models import Participant
from surveys.protocol.models import ProtocolVersion
from surveys.protocol.vocabulary import CountState, EcologicalGroup
from surveys.science.agreement import (
    Matrix,
    Reliability,
    confusion_matrix,
    recorder_reliability,
)
from surveys.science.relabelling import Moves, fewest_moves
from surveys.visits.models import Count, Phase, Pit, VisitState

_VERIFYING = (Decision.ACCEPTED, Decision.ACCEPTED_WITH_CHANGE)


@dataclass(frozen=True)
class Verified:
    """Verified pits: how many stood, and which groups were taken for which.

    ``n_determined`` of them have a line that a reviewer counted anew; the others were accepted.
    """

    reliability: Reliability
    n_determined: int
    confusion: Matrix
    moves: Moves
    by_stage: dict[str, Moves]


def verified_pits(
    participant: Participant | None = None, protocol: ProtocolVersion | None = None
) -> QuerySet[Pit]:
    """Return pits that a reviewer determined anew or accepted, each by its newest revision."""
    accepted = Q(
        visit__state=VisitState.ACCEPTED,
        visit__reviews__decision__in=_VERIFYING,
        visit__reviews__revision=F("visit__revision"),
    )
    determined = Q(phases__counts__determinations__isnull=False)
    pits = Pit.objects.filter(accepted | determined, revision=F("visit__revision"))
    pits = pits.exclude(visit__state=VisitState.WITHDRAWN)
    if participant is not None:
        pits = pits.filter(visit__participant=participant)
    if protocol is not None:
        pits = pits.filter(visit__protocol=protocol)
    return pits.distinct().prefetch_related("phases__counts__determinations").order_by("pk")


def verified(
    participant: Participant | None = None, protocol: ProtocolVersion | None = None
) -> Verified:
    """Return how the verified pits stood: of one recorder or all, in one protocol or all."""
    n_pits = n_right = n_determined = 0
    by_stage: dict[str, Moves] = defaultdict(Moves)
    for pit in verified_pits(participant, protocol):
        n_pits += 1
        n_right += not any(_was_changed(count) for count in _counts(pit))
        n_determined += any(count.determinations.all() for count in _counts(pit))
        for phase in pit.phases.all():
            for stage, (written, later) in _by_stage(phase).items():
                by_stage[stage].add(fewest_moves(written, later))
    moves = Moves()
    for of_stage in by_stage.values():
        moves.add(of_stage)
    return Verified(
        reliability=recorder_reliability(n_right, n_pits),
        n_determined=n_determined,
        confusion=confusion_matrix(moves.pairs.elements(), EcologicalGroup.values),
        moves=moves,
        by_stage=dict(sorted(by_stage.items())),
    )


def _counts(pit: Pit) -> Iterator[Count]:
    for phase in pit.phases.all():
        yield from (count for count in phase.counts.all() if count.state == CountState.COUNTED)


def _by_stage(phase: Phase) -> dict[str, tuple[Counter[str], Counter[str]]]:
    """Return the animals by group as written and as verified, for each life stage."""
    stages: dict[str, tuple[Counter[str], Counter[str]]] = defaultdict(
        lambda: (Counter(), Counter())
    )
    for count in phase.counts.all():
        if count.number is not None:
            written, later = stages[count.stage]
            written[count.group] += count.number
            later[count.group] += _last(count, count.number)
    return stages


def _was_changed(count: Count) -> bool:
    return count.number is not None and _last(count, count.number) != count.number


def _last(count: Count, written: int) -> int:
    """Return the number of the last determination, else the written one."""
    determinations = list(count.determinations.all())
    return determinations[-1].number if determinations else written
