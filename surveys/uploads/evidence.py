"""What the cells of a file say about how to read it, and what they leave open."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from surveys.uploads.cells import DATES, DECIMALS, Cell, day_parts, number_of, shown_plain
from surveys.uploads.columns import Column, Kind
from surveys.uploads.encodings import FoundEncoding

MONTHS = 12


@dataclass(frozen=True)
class Seen:
    """A cell that says something, or could be read in two ways."""

    row: int
    column: str
    received: str

    def as_dict(self) -> dict[str, Any]:
        """Return it for an answer."""
        return dict(vars(self))


@dataclass
class Evidence:
    """The first cell of each kind; reading a file to its end adds to it."""

    decimal: dict[str, Seen] = field(default_factory=dict)
    either_decimal: dict[str, Seen] = field(default_factory=dict)
    dates: dict[str, Seen] = field(default_factory=dict)
    either_dates: Seen | None = None
    same_dates: Seen | None = None  # day and month are the same number
    letters: Seen | None = None  # the first cell with a letter beyond ASCII
    _above: dict[str, str] = field(default_factory=dict)  # what repeats says nothing new

    def look_at(self, row: int, cells: Iterable[tuple[Column, Cell]]) -> None:
        """Take in one row; cells with a type of their own say nothing."""
        for column, cell in cells:
            if isinstance(cell, str) and cell and self._above.get(column.name) != cell:
                self._above[column.name] = cell
                text = shown_plain(cell).strip()
                seen = Seen(row, column.name, text[:80])
                if column.kind in {Kind.NUMBER, Kind.WHOLE}:
                    self._look_at_number(text, column, seen)
                elif column.kind == Kind.DAY:
                    self._look_at_day(text, seen)
                if self.letters is None and not text.isascii():
                    self.letters = seen

    def _look_at_number(self, text: str, column: Column, seen: Seen) -> None:
        if text.lstrip("+-").isdigit():
            return
        readings = {mark: number_of(text, mark) for mark in DECIMALS}
        possible = [
            mark
            for mark, number in readings.items()
            if number is not None and (column.maximum is None or abs(number) <= column.maximum)
        ]
        if len(possible) == 1:
            self.decimal.setdefault(possible[0], seen)
        elif possible:
            self.either_decimal.setdefault("." if "." in text else ",", seen)

    def _look_at_day(self, text: str, seen: Seen) -> None:
        parts = day_parts(text)
        if parts is None:
            return
        first, second, _ = parts
        if first > MONTHS >= second:
            self.dates.setdefault("day-month-year", seen)
        elif second > MONTHS >= first:
            self.dates.setdefault("month-day-year", seen)
        elif max(first, second) > MONTHS:
            return  # no day at all
        elif first == second:
            self.same_dates = self.same_dates or seen
        else:
            self.either_dates = self.either_dates or seen


@dataclass(frozen=True)
class Question:
    """What must be said before a file is read: about what, and why."""

    about: str
    message: str
    examples: Sequence[Seen]
    allowed: Sequence[str]
    proposed: str = ""

    def as_dict(self) -> dict[str, Any]:
        """Return it for an answer."""
        examples = [seen.as_dict() for seen in self.examples]
        return {**vars(self), "examples": examples, "allowed": list(self.allowed)}


def decide_decimal(evidence: Evidence) -> tuple[str, str] | Question:
    """Return the decimal mark and how it is known, or a question."""
    certain, either = evidence.decimal, evidence.either_decimal
    if not certain and not either:
        return "point", "no number has a decimal mark"
    if len(certain) == 1:
        ((mark, seen),) = certain.items()
        other = {"point": ",", "comma": "."}[mark]
        if other not in either:
            return mark, _because(seen)
    return Question(
        "decimal",
        "Numbers can be read in two ways: is the mark a decimal mark, or does it group thousands?",
        [*certain.values(), *either.values()],
        DECIMALS,
    )


def decide_dates(evidence: Evidence) -> tuple[str, str] | Question:
    """Return the order of dates and how it is known, or a question."""
    if not evidence.dates and evidence.either_dates is None:
        if evidence.same_dates is not None:
            return "day-month-year", _because(evidence.same_dates)
        return "iso", "every day is written as YYYY-MM-DD"
    if len(evidence.dates) == 1:
        ((order, seen),) = evidence.dates.items()
        return order, _because(seen)
    seen_days = [*evidence.dates.values()]
    if evidence.either_dates is not None:
        seen_days.append(evidence.either_dates)
    return Question(
        "dates",
        "Days can be read in two ways: does the day come first, or the month?",
        seen_days,
        [order for order in DATES if order != "iso"],
    )


def decide_encoding(found: FoundEncoding, evidence: Evidence) -> Question | None:
    """Return a question if a text with letters beyond ASCII could be of many encodings."""
    if found.is_certain:
        return None
    return Question(
        "encoding",
        "The text is not Unicode. Look at the example: if its letters are right, say so; if they "
        "are not, save the file as UTF-8 and send it again.",
        [evidence.letters] if evidence.letters else [],
        ["windows-1252"],
        proposed=found.name,
    )


def _because(seen: Seen) -> str:
    return f"row {seen.row}, column {seen.column}: {seen.received}"
