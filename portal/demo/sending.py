"""When visits reach the intake and in which batches; what is mended and what comes twice."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from random import Random

from portal.demo import cast
from portal.demo.events import BatchSent
from portal.demo.faults import PLANTED
from portal.demo.payloads import Payload, body_of, payload_of
from portal.demo.region import DEMO_NOW, SCHOOL
from portal.demo.streams import stream
from portal.demo.visits import Outing

BATCH_SPAN = timedelta(hours=36)
LARGEST_BATCH = 20
LAST_ARRIVAL_ON = date(2025, 7, 13)
LATE_DAYS = {"OPL-S20": 90}
SENT_TWICE = "QVD-A10"  # the same key and the same body
SENT_BY_TWO = "QVD-A11"  # two people, two keys, one visit
KEY_REUSED = "OPL-S03"  # the same key and another body
TWIN = f"{SENT_BY_TWO}b"


@dataclass(frozen=True)
class Arrival:
    """One visit on its way to the intake; ``alone`` keeps it out of shared batches."""

    at: datetime
    group: str
    ref: str
    payload: Payload
    alone: bool = False


def arrivals_of(outing: Outing) -> Iterator[Arrival]:
    """Yield a visit as first sent, and once more if the first sending cannot be stored."""
    payload = payload_of(outing)
    at = _first_arrival(outing)
    planted = PLANTED.get(outing.ref)
    first = payload if planted is None else planted.spoiled(payload)
    yield Arrival(at, outing.group, outing.ref, _signed(first, at))
    if planted is not None and planted.outcome == "blocked":
        days = stream(outing.seed, outing.ref, "mended").randint(3, 9)
        again = min(at + timedelta(days=days), _evening_of(LAST_ARRIVAL_ON))
        mended = planted.mended(payload)
        yield Arrival(again, outing.group, outing.ref, _signed(mended, again))
    if outing.ref == SENT_BY_TWO:
        yield _twin(outing, payload, at + timedelta(days=1))


def batches(arrivals: Iterable[Arrival]) -> list[BatchSent]:
    """Return the batches of all groups: what comes within a day and a half goes together."""
    made: list[BatchSent] = []
    waiting: dict[str, list[Arrival]] = {}
    for arrival in sorted(arrivals, key=lambda a: (a.at, a.ref)):
        held = waiting.setdefault(arrival.group, [])
        if held and (arrival.alone or not _fits(held, arrival)):
            made.append(_batch(held))
            held.clear()
        held.append(arrival)
    made += [_batch(held) for held in waiting.values()]
    return sorted([*made, *_repeats(made)], key=lambda batch: (batch.at, batch.key))


def evening(day: date, rng: Random) -> datetime:
    """Return an instant of an evening."""
    return _evening_of(day) + timedelta(seconds=rng.randrange(3 * 3600))


def _evening_of(day: date) -> datetime:
    return datetime.combine(day, time(18), UTC)


def _first_arrival(outing: Outing) -> datetime:
    rng = stream(outing.seed, outing.ref, "sending")
    days = rng.choices(
        (rng.randint(0, 3), rng.randint(4, 20), rng.randint(21, 60)), weights=(80, 15, 5)
    )[0]
    if outing.ref in cast.PROMPT:
        days = 1
    days = LATE_DAYS.get(outing.ref, days)
    day = min(outing.visited_on + timedelta(days=days), LAST_ARRIVAL_ON)
    return evening(day, rng)


def _signed(payload: Payload, at: datetime) -> Payload:
    return payload | {"sent_at": f"{at:%Y-%m-%dT%H:%M:%SZ}"}


def _twin(outing: Outing, payload: Payload, at: datetime) -> Arrival:
    other = "QVD-09" if outing.recorder.code == "QVD-08" else "QVD-08"
    site = payload["site"] | {"code": f"{payload['site']['code']}.{TWIN}"}
    copy = payload | {"client_ref": TWIN, "participant": other, "site": site}
    return Arrival(at, outing.group, TWIN, _signed(copy, at), alone=True)


def _fits(held: list[Arrival], arrival: Arrival) -> bool:
    return (
        arrival.at - held[0].at <= BATCH_SPAN
        and len(held) < LARGEST_BATCH
        and not any(other.alone or other.ref == arrival.ref for other in held)
    )


def _batch(held: list[Arrival]) -> BatchSent:
    at = min(held[-1].at + timedelta(minutes=10), DEMO_NOW)
    group = held[0].group
    return BatchSent(
        at=at,
        group=group,
        sender=sender_of(group, at),
        key=f"{group}-{at:%Y%m%dT%H%M%S}-{held[0].ref}",
        refs=tuple(arrival.ref for arrival in held),
        body=body_of([arrival.payload for arrival in held]),
    )


def sender_of(group: str, at: datetime) -> str:
    """Return the name of the token a group sends with; two teachers take turns."""
    return f"{group}-T{at.day % 2 + 1}" if group == SCHOOL else f"{group} coordinator"


def _repeats(made: list[BatchSent]) -> Iterator[BatchSent]:
    for batch in made:
        if SENT_TWICE in batch.refs:
            yield replace(batch, at=batch.at + timedelta(minutes=7), expected="replayed")
        if KEY_REUSED in batch.refs:
            changed = batch.body.replace(b'"people_digging": ', b'"people_digging": 1', 1)
            yield replace(
                batch, at=batch.at + timedelta(minutes=7), body=changed, expected="key reused"
            )
