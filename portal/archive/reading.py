"""The rows of a release as visits with their pits, steps and counts, one visit at a time."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter
from typing import Any
from uuid import UUID

from portal.records.models import PublishedCount, PublishedPit, PublishedVisit

_ROWS_AT_ONCE = 500


class LooseRowError(ValueError):
    """A published pit or count whose visit or pit is not published."""


@dataclass(frozen=True)
class StepTree:
    """One extraction step of a pit and its counts, at least one."""

    counts: list[PublishedCount]

    @property
    def row(self) -> PublishedCount:
        """Return a row with the columns that all counts of the step share."""
        return self.counts[0]

    @property
    def state(self) -> str:
        """Return whether the step was carried out: done, not_done or not_entered."""
        return self.row.hand_sort if self.row.method == "hand_sort" else self.row.expellant

    @property
    def took_place(self) -> bool:
        """Tell whether the step is an event: it was done, or something was counted in it."""
        return self.state == "done" or any(count.state == "counted" for count in self.counts)


@dataclass(frozen=True)
class PitTree:
    """A pit and its steps."""

    row: PublishedPit
    steps: list[StepTree]


@dataclass(frozen=True)
class VisitTree:
    """A visit and its pits."""

    row: PublishedVisit
    pits: list[PitTree]


class _Children:
    """Rows in the order of their parents, handed out parent by parent."""

    def __init__(self, rows: Iterator[Any], parent: Callable[[Any], UUID]) -> None:
        self._groups = groupby(rows, key=parent)
        self._ahead: tuple[UUID, list[Any]] | None = None
        self._step()

    def _step(self) -> None:
        found = next(self._groups, None)
        self._ahead = None if found is None else (found[0], list(found[1]))

    def take(self, parent: UUID) -> list[Any]:
        """Return the rows of a parent; parents must be asked for in order."""
        if self._ahead is None or self._ahead[0] != parent:
            return []
        rows = self._ahead[1]
        self._step()
        return rows

    def refuse_rest(self) -> None:
        """Make sure that every row found its parent.

        Raises
        ------
        LooseRowError
            If rows are left over.
        """
        if self._ahead is not None:
            message = f"Rows of {self._ahead[0]} are published, but it is not."
            raise LooseRowError(message)


def visit_trees(release: int) -> Iterator[VisitTree]:
    """Yield the visits of a release in the order of their public ids.

    Raises
    ------
    LooseRowError
        After the last visit, if a pit or a count has no place among them.
    """
    pits = _Children(_rows(PublishedPit, release, "visit_id", "pit_id"), attrgetter("visit_id"))
    counts = _Children(
        _rows(PublishedCount, release, "visit_id", "pit_id", "phase_id", "id"),
        attrgetter("visit_id"),
    )
    for visit in _rows(PublishedVisit, release, "visit_id"):
        counts_of_visit = _Children(iter(counts.take(visit.visit_id)), parent=attrgetter("pit_id"))
        yield VisitTree(
            visit,
            [
                PitTree(pit, _steps(counts_of_visit.take(pit.pit_id)))
                for pit in pits.take(visit.visit_id)
            ],
        )
        counts_of_visit.refuse_rest()
    pits.refuse_rest()
    counts.refuse_rest()


def _rows(
    model: type[PublishedVisit | PublishedPit | PublishedCount], release: int, *order: str
) -> Iterator[Any]:
    return model.objects.at(release).order_by(*order).iterator(chunk_size=_ROWS_AT_ONCE)


def _steps(counts: list[PublishedCount]) -> list[StepTree]:
    grouped = groupby(counts, key=attrgetter("phase_id"))
    return [StepTree(list(of_step)) for _, of_step in grouped]
