"""Checks of what was counted: entered, whole, adding up, zero on purpose, and likely."""

from collections.abc import Iterator

from surveys.checks.expected import usual_count
from surveys.checks.registry import check
from surveys.checks.response import Response, cannot_run, compliant, not_compliant
from surveys.visits.facts import CountFacts, PitFacts, Surroundings, VisitFacts


@check(label="VALIDATION_COUNTS_NOTEMPTY", version="2025-07-01")
def counts_entered(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find pits in which no line was filled: blank is missing, not zero."""
    faults = [
        not_compliant(
            "counts-blank",
            "Pit {pit}: the counts were left blank, which is not zero. Send 0 for every line "
            "you looked for and found none; the pit waits until then.",
            f"/pits/{place}/phases",
            pit=pit.number,
        )
        for place, pit in enumerate(visit.pits)
        if not pit.was_counted() and any_blank(pit)
    ]
    return faults or [compliant("Every pit has counts, or says that nothing was looked for.")]


def any_blank(pit: PitFacts) -> bool:
    """Tell whether a line is missing; no line at all counts as missing."""
    counts = pit.counts()
    return not counts or any(count.state == "not_entered" for count in counts)


@check(label="VALIDATION_COUNTS_COMPLETE", version="2025-07-01")
def counts_complete(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find pits in which some lines were filled and others left blank."""
    faults = [
        not_compliant(
            "counts-partly-blank",
            "Pit {pit}: {received} line(s) were left blank beside filled ones. A blank line is "
            "treated as unknown; send 0 where you looked and found none.",
            f"/pits/{place}/phases",
            pit=pit.number,
            received=sum(count.state == "not_entered" for count in pit.counts()),
        )
        for place, pit in enumerate(visit.pits)
        if pit.was_counted() and any_blank(pit)
    ]
    return faults or [compliant("No line was left blank beside filled ones.")]


@check(label="VALIDATION_COUNTS_NONNEGATIVEINTEGER", version="2025-07-01")
def counts_nonnegative(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find counts below zero, and counts whose number and state contradict each other."""
    faults = [
        not_compliant(
            "count-not-a-number" if count.number is None else "count-negative",
            "Pit {pit}: the number of animals must be a whole number of 0 or more, and only a "
            "line that was counted has one; received {received}. Use 0 when you looked and "
            "found none.",
            pointer,
            pit=pit.number,
            received="nothing" if count.number is None else count.number,
        )
        for pit, count, pointer in lines(visit)
        if not is_sound(count)
    ]
    return faults or [compliant("Every count is a whole number of 0 or more.")]


def is_sound(count: CountFacts) -> bool:
    """Tell whether a line has a number exactly when it was counted, and none below zero."""
    if count.state == "counted":
        return count.number is not None and count.number >= 0
    return count.number is None


def lines(visit: VisitFacts) -> Iterator[tuple[PitFacts, CountFacts, str]]:
    """Yield every line with its pit and a pointer.

    Facts list steps and lines in the order of the kit, not of the sender, so the pointer stops
    at the steps of the pit.
    """
    for place, pit in enumerate(visit.pits):
        for count in pit.counts():
            yield pit, count, f"/pits/{place}/phases"


@check(label="VALIDATION_COUNTS_SUMCONSISTENT", version="2025-07-01")
def sum_consistent(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find pits whose lines do not add up to the total that was sent."""
    totalled = [
        (place, pit)
        for place, pit in enumerate(visit.pits)
        if pit.total is not None and pit.was_counted()
    ]
    if not totalled:
        return [cannot_run("No pit has both counts and a total to compare them with.")]
    faults = [
        not_compliant(
            "total-differs",
            "Pit {pit}: the total says {received}, but the lines add up to {expected}. Count all "
            "steps (hand sorting and drench) and correct the lines or the total.",
            f"/pits/{place}/total",
            pit=pit.number,
            received=pit.total,
            expected=pit.found(),
        )
        for place, pit in totalled
        if pit.total != pit.found()
    ]
    return faults or [compliant("The lines add up to the total.")]


@check(label="VALIDATION_ZEROPIT_CONFIRMED", version="2025-07-01")
def zero_confirmed(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find empty pits that nobody confirmed: only a finished search shows absence."""
    empty = [
        (place, pit)
        for place, pit in enumerate(visit.pits)
        if pit.was_counted() and pit.found() == 0
    ]
    if not empty:
        return [cannot_run("No pit of this visit was empty.")]
    faults = [
        not_compliant(
            "zero-not-confirmed",
            "Pit {pit}: nothing was found. Please confirm that the pit was dug and sorted to "
            "the end; without that a zero cannot count as absence.",
            f"/pits/{place}/sorted_to_end",
            pit=pit.number,
        )
        for place, pit in empty
        if pit.sorted_to_end is not True
    ]
    return faults or [compliant("Empty pits were confirmed as sorted to the end.")]


@check(label="VALIDATION_COUNTS_LIKELY", version="2025-07-01")
def counts_likely(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find pits with far more, or far fewer, animals than such pits hold."""
    counted = [(place, pit) for place, pit in enumerate(visit.pits) if pit.was_counted()]
    if not counted:
        return [cannot_run("No pit of this visit has counts.")]
    faults = [fault for place, pit in counted for fault in unlikely(place, pit, around)]
    return faults or [compliant("The number of animals is usual for such pits.")]


def unlikely(place: int, pit: PitFacts, around: Surroundings) -> list[Response]:
    """Return the fault of one pit, if its number is unusual."""
    limits = around.protocol.checks
    usual = usual_count(around.earlier_totals, pit.area_m2, limits)
    if usual.holds(pit.found()):
        return []
    per_m2 = round(pit.found() / pit.area_m2)
    beyond = per_m2 > limits.refuse_above_per_m2
    return [
        not_compliant(
            "count-beyond-belief" if beyond else "count-unusual",
            "Pit {pit}: {received} animals are {per_m2} per m2; usual are {expected} in such "
            "a pit ({basis}). Please look at the paper form: was a digit added or a line "
            "entered twice? If the number is right, say so and a reviewer will accept it.",
            f"/pits/{place}",
            pit=pit.number,
            received=pit.found(),
            per_m2=per_m2,
            expected=f"{usual.lowest} to {usual.highest}",
            basis=usual.basis,
        )
    ]


@check(label="VALIDATION_LIFESTAGE_GROUP_CONSISTENT", version="2025-07-01")
def groups_of_the_kit(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find lines of a group, stage or taxon that this kit does not count."""
    allowed = around.protocol.category_keys()
    faults = [
        not_compliant(
            "category-not-in-kit",
            "Pit {pit}: {kit} does not count {stage} animals as {group}. Animals that this kit "
            "gives no group belong in the line for animals without a group.",
            pointer,
            pit=pit.number,
            kit=around.protocol.name,
            stage=count.stage,
            group=" ".join(filter(None, (count.group, count.taxon))),
        )
        for pit, count, pointer in lines(visit)
        if (count.group, count.stage, count.taxon) not in allowed
    ]
    return faults or [compliant("Every line is one that this kit counts.")]
