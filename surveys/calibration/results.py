"""What trials say, as rows with interval, method and a sentence, by protocol and step."""

from collections.abc import Iterator, Mapping
from typing import Any

from django.db.models import QuerySet

from surveys.calibration.models import CalibrationTrial
from surveys.calibration.queries import agreement, detection
from surveys.protocol.vocabulary import EcologicalGroup, PhaseKind
from surveys.science.agreement import NOT_ENOUGH, Proportion
from surveys.science.calibration import MIN_KNOWN, Detection, Overlap

FORMULAS = {
    "detection": "share = sum over lines of min(known, observed) / sum of known",
    "agreement": "share = sum over lines of min(first, second) / sum of max(first, second)",
}
METHOD = "95 percent, Wilson's score method on animals"
CAUTION = (
    "Animals of one trial share its soil and its observer, so intervals are too narrow where "
    "trials are few. Swapped labels cancel out in numbers: a share is the most that can be so."
)


def results(trials: QuerySet[CalibrationTrial]) -> dict[str, Any]:
    """Return detection and agreement by protocol, step and group, and what is said of them all."""
    ways = trials.order_by("protocol__key", "protocol__version", "step")
    rows = [
        {"protocol": f"{key}/{version}", "step": step, **row}
        for key, version, step in ways.values_list(
            "protocol__key", "protocol__version", "step"
        ).distinct()
        for row in _rows(
            trials.filter(protocol__key=key, protocol__version=version, step=step), step
        )
    ]
    return {
        "data": rows,
        "formulas": FORMULAS,
        "interval": METHOD,
        "needed": MIN_KNOWN,
        "caution": CAUTION,
    }


def _rows(trials: QuerySet[CalibrationTrial], step: str) -> Iterator[dict[str, Any]]:
    for group, found in detection(trials).items():
        numbers = {"known": found.known, "observed": found.observed, "beyond": found.beyond}
        yield _row("detection", group, found, numbers) | {"sentence": _found(step, group, found)}
    for group, both in agreement(trials).items():
        pair = {"known": both.first, "observed": both.second, "beyond": None}
        yield _row("agreement", group, both, pair) | {"sentence": _agreed(step, group, both)}


def _row(
    measure: str, group: str, found: Detection | Overlap, numbers: Mapping[str, int | None]
) -> dict[str, Any]:
    share = found.share
    return {
        "measure": measure,
        "group": group,
        "n_lines": found.n_lines,
        **numbers,
        "hits": None if share is None else share.hits,
        "n": None if share is None else share.n,
        "share": None if share is None else share.share,
        "lower": None if share is None else share.lower,
        "upper": None if share is None else share.upper,
        "method": NOT_ENOUGH if share is None else METHOD,
    }


def _found(step: str, group: str, found: Detection) -> str:
    what = _what(step, group)
    if found.share is None:
        return f"{what}: {NOT_ENOUGH}; {MIN_KNOWN} known animals are needed, {found.known} were."
    share = found.share
    return f"{what}: {share.hits} of {share.n} known animals were found ({_percent(share)})."


def _agreed(step: str, group: str, both: Overlap) -> str:
    what = _what(step, group)
    if both.share is None:
        return f"{what}: {NOT_ENOUGH}; {MIN_KNOWN} animals are needed."
    return (
        f"{what}: the first observers reported {both.first}, the second {both.second}; "
        f"they agree in at most {_percent(both.share)}."
    )


def _what(step: str, group: str) -> str:
    return f"{EcologicalGroup(group).label}, {PhaseKind(step).label}"


def _percent(share: Proportion) -> str:
    return f"{share.share:.0%}, 95 percent interval {share.lower:.0%} to {share.upper:.0%}"
