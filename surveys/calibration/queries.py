"""Find trials, and what they say: how many animals are found, how far observers agree."""

from collections.abc import Iterator

from django.db.models import QuerySet

from surveys.calibration.models import CalibrationLine, CalibrationTrial, TrialKind
from surveys.people.models import Group
from surveys.science.calibration import (
    Detection,
    Numbers,
    Overlap,
    detection_by_group,
    overlap_by_group,
)


def trials_of(group: Group) -> QuerySet[CalibrationTrial]:
    """Return a group's trials with their observers and lines, newest first."""
    trials = group.trials.select_related("protocol", "observer", "first_observer")
    return trials.prefetch_related("lines").order_by("-pk")


def detection(trials: QuerySet[CalibrationTrial]) -> dict[str, Detection]:
    """Return the share of known animals found in trials with known numbers, by group."""
    return detection_by_group(_numbers(trials, TrialKind.KNOWN_NUMBERS))


def agreement(trials: QuerySet[CalibrationTrial]) -> dict[str, Overlap]:
    """Return how far second observers agreed with first ones, by group."""
    return overlap_by_group(_numbers(trials, TrialKind.TWO_OBSERVERS))


def _numbers(trials: QuerySet[CalibrationTrial], kind: TrialKind) -> Iterator[Numbers]:
    chosen = trials.filter(kind=kind).order_by().values("pk")
    for line in CalibrationLine.objects.filter(trial__in=chosen).order_by("pk"):
        yield Numbers(line.group, line.known, line.observed)
