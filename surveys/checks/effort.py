"""Checks of how a pit was searched: the drench, the people and the minutes."""

from decimal import Decimal

from surveys.checks.registry import check
from surveys.checks.response import Response, cannot_run, compliant, not_compliant
from surveys.protocol.definition import PhaseRule
from surveys.visits.facts import PhaseFacts, PitFacts, Surroundings, VisitFacts

VOLUME_TOLERANCE = Decimal("0.2")  # own-tests of the programme: tolerance


@check(label="VALIDATION_EXPELLANT_CONSISTENT", version="2025-07-01")
def expellant_consistent(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find drenches that were not poured but counted, or not poured as the kit says."""
    rule = around.protocol.phase("expellant")
    faults = [
        not_compliant(
            code,
            "Pit {pit}: " + text,
            f"/pits/{place}/phases",
            pit=pit.number,
        )
        for place, pit in enumerate(visit.pits)
        for phase in pit.phases
        if phase.kind == "expellant"
        for code, text in drench_faults(phase, rule)
    ]
    return faults or [compliant("The drench was poured as the kit says, or not at all.")]


def drench_faults(phase: PhaseFacts, rule: PhaseRule | None) -> list[tuple[str, str]]:
    """Return code and text of what is wrong with one drench."""
    if phase.state != "done":
        if not any(count.number for count in phase.counts):
            return []
        text = (
            "animals came up with the drench, but the drench was not poured. Say that it was "
            "poured, or move the animals to hand sorting."
        )
        return [("expelled-not-poured", text)]
    if rule is None or not rule.performed:
        text = "this kit pours no drench. If another kit was used, send the visit under that one."
        return [("drench-not-in-kit", text)]
    return list(filter(None, (volume_fault(phase, rule), wait_fault(phase, rule))))


def volume_fault(phase: PhaseFacts, rule: PhaseRule) -> tuple[str, str] | None:
    """Return what is wrong with the volume poured."""
    if phase.volume_ml is None or rule.volume_ml is None:
        return None
    if abs(phase.volume_ml - rule.volume_ml) <= VOLUME_TOLERANCE * rule.volume_ml:
        return None
    text = f"{phase.volume_ml} ml were poured; the kit says {rule.volume_ml} ml, give or take 20 %."
    return ("drench-volume", f"{text} Check the number and its unit (0.5 l is 500 ml).")


def wait_fault(phase: PhaseFacts, rule: PhaseRule) -> tuple[str, str] | None:
    """Return what is wrong with the time waited."""
    if phase.wait_min is None or rule.wait_min is None or phase.wait_min >= rule.wait_min:
        return None
    text = f"waited {phase.wait_min} minutes after pouring; the kit says at least {rule.wait_min}."
    return ("drench-wait", f"{text} Deep animals may still have been below.")


@check(label="VALIDATION_EFFORT_COMPLETE", version="2025-07-01")
def effort_complete(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find what is missing to compare the effort of this visit with others."""
    faults = []
    if visit.people_digging is None:
        faults.append(incomplete("The number of people digging", "/people_digging"))
    for place, pit in enumerate(visit.pits):
        missing = missing_effort(pit, around)
        if missing:
            what = f"Pit {pit.number}: {', '.join(missing)}"
            faults.append(incomplete(what, f"/pits/{place}"))
    return faults or [compliant("People, minutes and steps of every pit are known.")]


def missing_effort(pit: PitFacts, around: Surroundings) -> list[str]:
    """Name what a pit lacks, in the words of the form."""
    fields = around.protocol.required_on_pit
    missing = [name.replace("_", " ") for name in fields if getattr(pit, name) is None]
    for phase in pit.phases:
        step = phase.kind.replace("_", " ")
        if phase.state == "not_entered":
            missing.append(f"whether {step} was done")
        if phase.kind == "expellant" and phase.state == "done":
            details = (("volume", phase.volume_ml), ("waiting time", phase.wait_min))
            missing += [f"{name} of the drench" for name, value in details if value is None]
    return missing


def incomplete(what: str, pointer: str) -> Response:
    """Return the fault of something left out."""
    return not_compliant(
        "effort-missing",
        "{what} is not filled. Add it if you know it: a count without its effort cannot be "
        "compared with others.",
        pointer,
        what=what,
    )


@check(label="VALIDATION_SORTINGTIME_LIKELY", version="2025-07-01")
def sorting_time_likely(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find pits sorted in no time, or with a clock that was never stopped."""
    timed = [
        (place, pit) for place, pit in enumerate(visit.pits) if pit.sorting_minutes is not None
    ]
    if not timed:
        return [cannot_run("No pit says how long sorting took.")]
    least, most = around.protocol.checks.sorting_query_min
    faults = [
        not_compliant(
            "sorting-time-unusual",
            "Pit {pit}: {received} minutes of sorting; {expected} are usual. Correct the "
            "number if it is the time of the whole visit or of one person of many.",
            f"/pits/{place}/sorting_minutes",
            pit=pit.number,
            received=pit.sorting_minutes,
            expected=f"{least} to {most}",
        )
        for place, pit in timed
        if not least <= (pit.sorting_minutes or 0) <= most
    ]
    return faults or [compliant("Sorting took a usual time.")]
