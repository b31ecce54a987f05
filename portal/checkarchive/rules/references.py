"""Rows that refer to other rows."""

from collections.abc import Iterator

from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row, Whole
from portal.checkarchive.vocabulary import EVENT

Problems = Iterator[Problem]
_PRACTICE = "common practice, no source"


@rule("coreid-orphan", "whole", "Darwin Core text guide 2023-09-13: coreid")
def orphan(whole: Whole) -> Problems:
    """Refer to an id that the core has, or add the core row."""
    for value, file, row in whole.ledger.ask("""
        SELECT coreid, file, row FROM link
        WHERE coreid <> '' AND NOT EXISTS (SELECT 1 FROM core WHERE core.id = link.coreid)
    """):
        yield Problem("coreid", value, row, file)


@rule("parent-orphan", "whole", "Darwin Core term parentEventID")
def parent_orphan(whole: Whole) -> Problems:
    """Refer to an eventID of the same file, or leave the parent empty."""
    for value, file, row in whole.ledger.ask("""
        SELECT parent, file, row FROM core AS child
        WHERE parent <> '' AND NOT EXISTS (SELECT 1 FROM core WHERE core.id = child.parent)
    """):
        yield Problem("parentEventID", value, row, file)


@rule("parent-itself", "row", "Darwin Core term parentEventID", needs=("parentEventID",))
def parent_itself(row: Row) -> Problems:
    """Leave the parent of an event without parent empty."""
    is_event = row.file.is_core and row.file.row_type == EVENT
    if is_event and row.core_id and row["parentEventID"] == row.core_id:
        yield Problem("parentEventID", row.core_id)


@rule("parent-later", "whole", _PRACTICE, severity="warning")
def parent_later(whole: Whole) -> Problems:
    """Write parents before their children."""
    for value, file, row in whole.ledger.ask("""
        SELECT parent, file, row FROM core AS child
        WHERE parent <> '' AND child.rowid < (
            SELECT min(above.rowid) FROM core AS above WHERE above.id = child.parent)
    """):
        yield Problem("parentEventID", value, row, file)


@rule("measurement-orphan", "whole", "community definition of extended measurements, 2023-08-28")
def measurement_orphan(whole: Whole) -> Problems:
    """Refer to an occurrence of the same core row, or leave occurrenceID empty."""
    for value, file, row in whole.ledger.ask("""
        SELECT occurrence, file, row FROM measurement
        WHERE occurrence <> '' AND occurrence <> coreid AND NOT EXISTS (
            SELECT 1 FROM occurrence AS known
            WHERE known.id = measurement.occurrence AND known.coreid = measurement.coreid)
    """):
        yield Problem("occurrenceID", value, row, file)
