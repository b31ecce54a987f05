"""How visits are reviewed: who decides when, what is asked back, corrected, changed, declined."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from random import Random

from portal.demo import cast
from portal.demo.case import Case, office_hour
from portal.demo.events import Appealed, Event, LineChange, NoteApproved, Reviewed
from portal.demo.faults import PLANTED, UNANSWERED
from portal.demo.payloads import NOTES, Payload, payload_of
from portal.demo.sending import SENT_BY_TWO, TWIN
from portal.demo.streams import pick, stream
from portal.demo.visits import Outing

DECISION_SHARES = {"accepted": 88, "accepted_with_change": 6, "asked_back": 5, "declined": 1}
ANSWERED = 0.5
LOOKED_AGAIN = "Looked again: the pale ones had no red-brown on the back."
NEVER_ANSWERED_DAYS = 40
HOUSEHOLD_TRIED = "QVD-A05"
THIRD_OPINION = "VFR-A12"
CORRECTED_LATER = "QVD-A02"
CORRECTED_AT = datetime(2025, 2, 12, 19, tzinfo=UTC)
APPEALED = "QVD-S18"
APPROVED_NOTES = frozenset({"VFR-A15", "OPL-S09"})


def review_of(outing: Outing, received_at: datetime) -> Iterator[Event]:
    """Yield what happens to a visit after it was stored."""
    payload = payload_of(outing)
    planted = PLANTED.get(outing.ref)
    case = Case(
        outing=outing,
        at=received_at,
        rng=stream(outing.seed, outing.ref, "review"),
        payload=payload if planted is None else planted.mended(payload),
    )
    special = SPECIAL.get(outing.ref)
    if special is not None:
        yield from special(case)
    elif planted is None:
        yield from _drawn(case)
    elif planted.outcome == "held":
        yield from _asked_back(case, planted.reason)
    else:
        yield from _accepted(case)


def twin_declined(outing: Outing, received_at: datetime) -> Reviewed:
    """Return the end of a visit that two people sent."""
    rng = stream(outing.seed, TWIN, "review")
    at = office_hour(received_at.date() + timedelta(days=rng.randint(1, 7)), rng)
    return Reviewed(at, outing.group, TWIN, "V2", "declined", reason="double")


def _accepted(case: Case) -> Iterator[Event]:
    case.later(*((1, 3) if case.outing.ref in cast.PROMPT else (1, 14)))
    yield case.decided("accepted")
    yield from _note_approved(case)


def _note_approved(case: Case) -> Iterator[Event]:
    note, ref = case.payload["note"], case.outing.ref
    if ref in APPROVED_NOTES or note in NOTES:
        yield NoteApproved(case.at + timedelta(minutes=1), case.outing.group, ref, case.reviewer)


def _drawn(case: Case) -> Iterator[Event]:
    decision = pick(case.rng, DECISION_SHARES)
    changes = _relabelled(case.payload, case.rng)
    case.later(1, 14)
    if decision == "accepted_with_change" and changes:
        yield case.decided(decision, reason=_reason(changes), changes=changes)
        yield from _note_approved(case)
    elif decision == "asked_back":
        case.at -= timedelta(days=1)
        yield from _evidence_asked(case)
    elif decision == "declined":
        yield case.decided(decision, reason="not-sorted")
    else:
        yield case.decided("accepted")
        yield from _note_approved(case)


def _evidence_asked(case: Case) -> Iterator[Event]:
    case.later(1, 1)
    yield case.decided("asked_back", reason="show-evidence")
    if case.rng.random() < ANSWERED:
        case.later(1, 8)
        yield case.corrected(case.payload | {"note": LOOKED_AGAIN})
        case.later(1, 6)
        yield case.decided("accepted")


def _asked_back(case: Case, reason: str) -> Iterator[Event]:
    case.later(1, 5)
    yield case.decided("asked_back", reason=reason)
    if case.outing.ref in UNANSWERED:
        case.later(NEVER_ANSWERED_DAYS, NEVER_ANSWERED_DAYS)
        yield case.decided("declined", reason="not-mended")
        return
    case.later(1, 8)
    yield case.corrected(case.payload)
    case.later(1, 6)
    yield case.decided("accepted")
    yield from _note_approved(case)


def _household_tried(case: Case) -> Iterator[Event]:
    case.later(1, 3)
    yield case.decided("accepted", reviewer="V1", is_refused=True)
    case.later(1, 3)
    yield case.decided("accepted", reviewer="V2")


def _third_opinion(case: Case) -> Iterator[Event]:
    case.later(1, 4)
    yield case.decided(
        "asked_back",
        reviewer="V1",
        reason="show-evidence",
        message="I read the pale adults of pit 1 as soil-feeding.",
    )
    case.later(1, 4)
    yield case.decided(
        "asked_back",
        reviewer="V3",
        reason="show-evidence",
        message="I read them as litter-dwelling; a third reviewer will decide.",
    )
    case.later(1, 4)
    changes = _relabelled(case.payload, case.rng)
    if changes:
        yield case.decided(
            "accepted_with_change", reviewer="V2", reason=_reason(changes), changes=changes
        )
    else:
        yield case.decided("accepted", reviewer="V2")


def _corrected_later(case: Case) -> Iterator[Event]:
    yield from _accepted(case)
    case.at = CORRECTED_AT
    yield case.corrected(payload_of(case.outing))
    case.later(3, 6)
    yield case.decided("accepted")


def _appealed(case: Case) -> Iterator[Event]:
    case.later(1, 5)
    yield case.decided("declined", reviewer="V2", reason="not-sorted")
    case.later(1, 4)
    text = "We did sort to the end; only the time was noted in the wrong box."
    yield Appealed(case.at, case.outing.group, case.outing.ref, text)
    case.later(1, 5)
    yield case.decided("accepted", reviewer="V3")


SPECIAL = {
    HOUSEHOLD_TRIED: _household_tried,
    THIRD_OPINION: _third_opinion,
    CORRECTED_LATER: _corrected_later,
    APPEALED: _appealed,
    SENT_BY_TWO: _accepted,
}


def _relabelled(payload: Payload, rng: Random) -> tuple[LineChange, ...]:
    """Move one adult to another group in the first pit where hand sorting found one."""
    for number, pit in enumerate(payload["pits"], start=1):
        lines = [c for c in pit["phases"][0]["counts"] if c["stage"] == "adult"]
        filled = [line for line in lines if line["number"]]
        if filled:
            source = rng.choice(filled)
            others = [line for line in lines if line["group"] != source["group"]]
            target = rng.choice(others)
            return (
                _change(number, source, source["number"] - 1),
                _change(number, target, target["number"] + 1),
            )
    return ()


def _change(pit: int, line: Payload, number: int) -> LineChange:
    return LineChange(
        pit=pit,
        phase="hand_sort",
        group=line["group"],
        stage=line["stage"],
        taxon=line.get("taxon", ""),
        number=number,
    )


def _reason(changes: tuple[LineChange, ...]) -> str:
    deep = any(change.group == "anecic" for change in changes)
    return "length-shows-group" if deep else "colour-shows-group"
