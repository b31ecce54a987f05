"""Decide on a visit; nothing that the recorder wrote is overwritten."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime

from django.conf import settings
from django.db import transaction

from surveys.audit.operations import record
from surveys.moderation.claims import require_unclaimed
from surveys.moderation.looks import Opinion, Stage, is_drawn, stage
from surveys.moderation.models import Appeal, Decision, Review, ReviewClaim, Standing
from surveys.moderation.permissions import require_allowed, require_first_opinion
from surveys.moderation.queries import next_round, opinions_held
from surveys.moderation.reasons import REASONS
from surveys.moderation.refusals import NotDecidable, StaleDecision
from surveys.moderation.versions import version_of
from surveys.people.models import Reviewer
from surveys.protocol.vocabulary import CountState
from surveys.visits.models import Count, Visit, VisitState
from surveys.visits.operations import determine

_NEXT_STATE = {
    Decision.ACCEPTED: VisitState.ACCEPTED,
    Decision.ACCEPTED_WITH_CHANGE: VisitState.ACCEPTED,
    Decision.ASKED_BACK: VisitState.ASKED_BACK,
    Decision.DECLINED: VisitState.DECLINED,
}
# Not "visit": lists of what changed are made from the trail, and nothing changed for the sender.
HELD_KIND = "opinion"
_OPEN = {VisitState.IN_REVIEW, VisitState.ASKED_BACK}


@dataclass(frozen=True)
class Change:
    """A new determination of one line: pit number, step, group, stage, taxon and number."""

    pit: int
    phase: str
    group: str
    stage: str
    number: int
    taxon: str = ""


@transaction.atomic
def review(  # noqa: PLR0913 -- a decision has this many parts
    *,
    visit: Visit,
    reviewer: Reviewer,
    decision: Decision | str,
    seen: int,
    at: datetime,
    reason_code: str = "",
    message: str = "",
    changes: Sequence[Change] = (),
) -> Review:
    """Store an opinion on the version that the reviewer saw; it decides unless more are needed.

    Raises
    ------
    NotAllowed
        If the visit is the reviewer's own or of the same household, was appealed against this
        reviewer's round, or has this reviewer's opinion already.
    ClaimedByOther
        If another reviewer is at work on the visit.
    StaleDecision
        If the visit has a newer version or is closed.
    NotDecidable
        If the reason does not fit the decision, or a change names no line of the visit.
    """
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    decision = Decision(decision)
    require_allowed(visit, reviewer)
    if version_of(visit) != seen or visit.state not in _OPEN:
        raise StaleDecision(visit, seen)
    require_first_opinion(visit, reviewer)
    require_unclaimed(visit, reviewer, at)
    _require_reason(decision, reason_code, changes)
    counts = [_count_of(visit, change) for change in changes]
    held = opinions_held(visit)
    made = Review.objects.create(
        visit=visit,
        revision=visit.revision,
        reviewer=reviewer,
        decision=decision,
        reason_code=reason_code,
        message=message,
        decided_at=at,
        round=held[0].round if held else next_round(visit),
        look=len(held) + 1,
        standing=Standing.HELD,
        changes=[asdict(change) for change in changes],
    )
    ReviewClaim.objects.filter(visit=visit).delete()
    if _stage_of(visit, [*held, made]) == Stage.DECIDED:
        _decide(visit, made, list(zip(counts, changes, strict=True)))
    else:
        _note(visit, reviewer, "opinion given", at, kind=HELD_KIND, look=made.look)
    return made


def _stage_of(visit: Visit, opinions: Sequence[Review]) -> Stage:
    """Return what a round of a visit waits for after these opinions."""
    key = f"{visit.group.code}/{visit.client_ref}"
    drawn = is_drawn(key, settings.SECOND_LOOK_SHARE, settings.SECRET_KEY)
    # A round that was begun goes on, whatever the share has become.
    is_second_wanted = len(opinions) > 1 or (drawn and not visit.appeals.exists())
    return stage([_opinion(one) for one in opinions], is_drawn=is_second_wanted)


def _opinion(review: Review) -> Opinion:
    changes = frozenset(tuple(sorted(change.items())) for change in review.changes)
    return Opinion(review.decision, changes)


def _decide(visit: Visit, made: Review, changed: Sequence[tuple[Count, Change]]) -> None:
    visit.reviews.filter(round=made.round).update(standing=Standing.HEARD)
    made.standing = Standing.DECIDING
    made.save(update_fields=["standing"])
    for count, change in changed:
        determine(
            count=count,
            number=change.number,
            reviewer=made.reviewer,
            at=made.decided_at,
            reason_code=made.reason_code,
        )
    visit.state = _NEXT_STATE[Decision(made.decision)]
    visit.save(update_fields=["state"])
    _note(
        visit,
        made.reviewer,
        f"visit {made.decision}",
        made.decided_at,
        revision=made.revision,
        reason=made.reason_code,
    )


def _note(
    visit: Visit,
    reviewer: Reviewer,
    action: str,
    at: datetime,
    kind: str = "visit",
    **detail: int | str,
) -> None:
    record(
        actor=f"reviewer {reviewer.code}",
        action=action,
        kind=kind,
        key=f"{visit.group.code}/{visit.client_ref}",
        at=at,
        **detail,
    )


@transaction.atomic
def appeal(*, visit: Visit, text: str, at: datetime) -> Appeal:
    """Reopen a decided visit for another reviewer.

    Raises
    ------
    NotDecidable
        If the visit is not decided, or the decision was appealed before.
    """
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    last = visit.reviews.filter(standing=Standing.DECIDING).order_by("-id").first()
    if last is None or visit.state not in {VisitState.ACCEPTED, VisitState.DECLINED}:
        msg = "Only an accepted or declined visit can be appealed."
        raise NotDecidable(msg)
    if last.appeals.exists():
        msg = "This decision was appealed before."
        raise NotDecidable(msg)
    made = Appeal.objects.create(visit=visit, against=last, text=text, raised_at=at)
    visit.state = VisitState.IN_REVIEW
    visit.save(update_fields=["state"])
    record(
        actor=f"group {visit.group.code}",
        action="decision appealed",
        kind="visit",
        key=f"{visit.group.code}/{visit.client_ref}",
        at=at,
    )
    return made


@transaction.atomic
def approve_note(*, visit: Visit, reviewer: Reviewer, at: datetime) -> None:
    """Let a visit's note be published from the next release on.

    ``visit`` is as the reviewer read it: a note sent by a later correction is another note.

    Raises
    ------
    NotAllowed
        If the reviewer may not decide on this visit.
    StaleDecision
        If the visit was corrected since it was read.
    """
    read_revision = visit.revision
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    require_allowed(visit, reviewer)
    if visit.revision != read_revision:
        raise StaleDecision(visit, version_of(visit))
    visit.note_approved = True
    visit.save(update_fields=["note_approved"])
    _note(visit, reviewer, "note approved", at)


def _require_reason(decision: Decision, reason_code: str, changes: Sequence[Change]) -> None:
    fitting = sorted(code for code, reason in REASONS.items() if decision in reason.decisions)
    if decision == Decision.ACCEPTED and not reason_code:
        fitting = [""]
    if reason_code not in fitting:
        msg = f"The decision {decision} takes one of these reasons: {', '.join(fitting) or 'none'}."
        raise NotDecidable(msg)
    if (decision == Decision.ACCEPTED_WITH_CHANGE) != bool(changes):
        msg = "Accepting with change needs at least one change, and only that decision takes any."
        raise NotDecidable(msg)


def _count_of(visit: Visit, change: Change) -> Count:
    count = Count.objects.filter(
        phase__pit__in=visit.current_pits(),
        phase__pit__number=change.pit,
        phase__kind=change.phase,
        group=change.group,
        stage=change.stage,
        taxon=change.taxon,
    ).first()
    if count is None or count.state != CountState.COUNTED:
        msg = (
            f"Pit {change.pit}, {change.phase}, {change.group} {change.stage} was not counted, "
            "so it cannot be determined anew."
        )
        raise NotDecidable(msg)
    return count
