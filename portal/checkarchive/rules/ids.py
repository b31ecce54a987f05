"""Ids: there, without blanks, unique, and the same wherever a row repeats them."""

from collections.abc import Iterator

from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row, Whole
from portal.checkarchive.vocabulary import EVENT, OCCURRENCE

Problems = Iterator[Problem]
_GUIDE = "Darwin Core text guide 2023-09-13: id, coreid"
_PRACTICE = "common practice, no source"


@rule("id-empty", "row", _GUIDE)
def id_empty(row: Row) -> Problems:
    """Give the row the id of its core row."""
    if not row.core_id and row.file.id_index is not None:
        yield Problem("id" if row.file.is_core else "coreid")


@rule("id-whitespace", "row", _PRACTICE)
def id_whitespace(row: Row) -> Problems:
    """Write ids without blanks."""
    if row.file.is_core and row.core_id.split() != [row.core_id] and row.core_id:
        yield Problem("id", row.core_id)


@rule(
    "id-differs",
    "row",
    "Darwin Core terms: eventID, occurrenceID",
    needs=("eventID", "occurrenceID"),
)
def id_differs(row: Row) -> Problems:
    """Write the id of the core row alike in the id column and in its own term."""
    name = {EVENT: "eventID", OCCURRENCE: "occurrenceID"}.get(row.core_type, "")
    repeats = row.file.is_core or name == "eventID"
    if repeats and row[name] and row.core_id and row[name] != row.core_id:
        yield Problem(name, row[name])


@rule("id-twice", "whole", _GUIDE)
def id_twice(whole: Whole) -> Problems:
    """Give each core row an id of its own, also where upper and lower case are one."""
    name = "eventID" if whole.descriptor.has_events else "id"
    for value, file, row in whole.ledger.ask("""
        SELECT id, file, row FROM core WHERE id <> '' AND EXISTS (
            SELECT 1 FROM core AS other
            WHERE other.folded = core.folded AND other.rowid < core.rowid)
    """):
        yield Problem(name, value, row, file)


@rule("occurrence-id-empty", "row", "Darwin Core term occurrenceID", needs=("occurrenceID",))
def occurrence_id_empty(row: Row) -> Problems:
    """Give each occurrence, absences too, an id that stays."""
    if row.file.row_type == OCCURRENCE and not row["occurrenceID"]:
        yield Problem("occurrenceID")


@rule("occurrence-id-twice", "whole", "Darwin Core term occurrenceID")
def occurrence_id_twice(whole: Whole) -> Problems:
    """Give each occurrence, absences too, an id of its own: readers drop the second."""
    for value, file, row in whole.ledger.ask("""
        SELECT id, file, row FROM occurrence WHERE EXISTS (
            SELECT 1 FROM occurrence AS other
            WHERE other.id = occurrence.id AND other.rowid < occurrence.rowid)
    """):
        yield Problem("occurrenceID", value, row, file)


@rule("measurement-id-twice", "whole", "Darwin Core term measurementID")
def measurement_id_twice(whole: Whole) -> Problems:
    """Give each measurement an id of its own."""
    for value, file, row in whole.ledger.ask("""
        SELECT id, file, row FROM measurement WHERE id <> '' AND EXISTS (
            SELECT 1 FROM measurement AS other
            WHERE other.id = measurement.id AND other.rowid < measurement.rowid)
    """):
        yield Problem("measurementID", value, row, file)
