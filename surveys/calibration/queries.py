"""What trials say of the measuring: how many animals are found, and how far observers agree."""

from collections.abc import Iterator

from surveys.calibration.models import CalibrationLine, TrialKind
from surveys.people.models import Participant
from surveys.science.calibration import (
    Detection,
    Numbers,
    Overlap,
    detection_by_group,
    overlap_by_group,
)


def detection(step: str, observer: Participant | None = None) -> dict[str, Detection]:
    """Return the share of known animals found in a step, by group; of one observer, if named."""
    return detection_by_group(_numbers(TrialKind.KNOWN_NUMBERS, step, observer))


def agreement(step: str, observer: Participant | None = None) -> dict[str, Overlap]:
    """Return how far second observers agreed with first ones in a step, by group."""
    return overlap_by_group(_numbers(TrialKind.TWO_OBSERVERS, step, observer))


def _numbers(kind: TrialKind, step: str, observer: Participant | None) -> Iterator[Numbers]:
    lines = CalibrationLine.objects.filter(trial__kind=kind, trial__step=step)
    if observer is not None:
        lines = lines.filter(trial__observer=observer)
    for line in lines.order_by("pk"):
        yield Numbers(line.group, line.known, line.observed)
