"""Visits with two pits each, by the number of animals in both: what comparisons read."""

from collections.abc import Iterable
from typing import Any

from portal.records.models import PublishedVisit
from tests.factories.published import PublishedVisitFactory, count_of, pit_of

LAWN: dict[str, Any] = {"habitat": "lawn", "management": ["mown"]}
BED: dict[str, Any] = {"habitat": "flower bed", "management": ["mulched"]}
UNDRENCHED: dict[str, Any] = {
    "expellant": "not_done",
    "expellant_agent": None,
    "expellant_ml": None,
    "expellant_wait_min": None,
}


def dig(visit: PublishedVisit, number: int | None, **pit: Any) -> None:
    """Add a pit with one line by hand; None leaves the line blank.

    ``recorded`` is what the recorder wrote, where a reviewer changed it.
    """
    recorded = pit.pop("recorded", number)
    line = {"state": "counted" if number is not None else "not_entered"}
    dug = pit_of(visit, **pit)
    count_of(dug, **line, number=number, number_recorded=recorded)


def dig_pairs(numbers: Iterable[tuple[int, int]], **columns: Any) -> None:
    """Make a visit for each pair of numbers: a lawn and a flower bed, drenched, 0.04 m2 each."""
    first = columns.pop("first", LAWN)
    second = columns.pop("second", BED)
    for in_first, in_second in numbers:
        visit = PublishedVisitFactory.create()
        dig(visit, in_first, **first | columns)
        dig(visit, in_second, **second | columns)
