"""Absence: the word and the numbers must say the same."""

from collections.abc import Iterator

from portal.checkarchive.decimals import decimal
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row

Problems = Iterator[Problem]
_TERMS = "Darwin Core terms occurrenceStatus, individualCount, organismQuantity"
_NOT_FOUND = {"absent", "notDetected"}
_FOUND = {"present", "detected"}
_NUMBERS = ("individualCount", "organismQuantity")


@rule("absence-with-number", "row", _TERMS, needs=("occurrenceStatus",))
def absent_but_counted(row: Row) -> Problems:
    """Write 0 for what was absent, or present for what was counted."""
    if row["occurrenceStatus"] in _NOT_FOUND:
        for name in _NUMBERS:
            if decimal(row[name]) not in {None, 0.0}:
                yield Problem(name, row[name])


@rule("presence-with-zero", "row", _TERMS, needs=("occurrenceStatus",))
def present_but_zero(row: Row) -> Problems:
    """Write absent for a count of 0, or leave the number of an uncounted find empty."""
    if row["occurrenceStatus"] in _FOUND:
        for name in _NUMBERS:
            if decimal(row[name]) == 0:
                yield Problem(name, row[name])


@rule(
    "absence-without-zero",
    "row",
    f"{_TERMS}; common practice",
    severity="warning",
    needs=("occurrenceStatus",),
)
def absent_without_zero(row: Row) -> Problems:
    """Write 0 as individualCount of what was absent: some readers judge by the number alone."""
    if row["occurrenceStatus"] in _NOT_FOUND and not row["individualCount"]:
        yield Problem("individualCount")


@rule("count-differs", "row", _TERMS, needs=_NUMBERS)
def count_differs(row: Row) -> Problems:
    """Write one number as individualCount and as a quantity of individuals."""
    count, quantity = decimal(row["individualCount"]), decimal(row["organismQuantity"])
    both = count is not None and quantity is not None
    if both and row["organismQuantityType"] == "individuals" and count != quantity:
        yield Problem(
            "organismQuantity", f"{row['organismQuantity']}, not {row['individualCount']}"
        )
