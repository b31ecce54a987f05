"""Survey scope: at most one row an event, repeated on children, results where they were seen."""

from collections.abc import Iterator

from portal.checkarchive.collecting import RESULT_TERMS, SCOPE_TERMS, names_in
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row, Whole
from portal.checkarchive.vocabulary import HUMBOLDT

Problems = Iterator[Problem]
_GUIDE = "Humboldt Extension usage guide 2024-02-28"


@rule("scope-twice", "whole", _GUIDE)
def twice(whole: Whole) -> Problems:
    """Write one row of survey scope for an event."""
    for value, file, row in whole.ledger.ask("""
        SELECT coreid, file, row FROM scope WHERE EXISTS (
            SELECT 1 FROM scope AS other
            WHERE other.coreid = scope.coreid AND other.rowid < scope.rowid)
    """):
        yield Problem("coreid", value, row, file)


@rule("scope-row-missing", "whole", _GUIDE, severity="warning")
def row_missing(whole: Whole) -> Problems:
    """Give a child of an event with scope a row of its own: children inherit nothing."""
    for value, file, row in whole.ledger.ask("""
        SELECT child.id, child.file, child.row FROM core AS child
        WHERE child.parent <> ''
            AND EXISTS (SELECT 1 FROM scope AS above WHERE above.coreid = child.parent)
            AND NOT EXISTS (SELECT 1 FROM scope AS own WHERE own.coreid = child.id)
    """):
        yield Problem("eventID", value, row, file)


@rule("scope-not-repeated", "whole", _GUIDE, severity="warning")
def not_repeated(whole: Whole) -> Problems:
    """Repeat the scope of a parent event on its children: children inherit nothing."""
    for bits, file, row in whole.ledger.ask("""
        SELECT above.scope & ~own.scope, own.file, own.row FROM core AS child
        JOIN scope AS above ON above.rowid = (
            SELECT min(one.rowid) FROM scope AS one WHERE one.coreid = child.parent)
        JOIN scope AS own ON own.rowid = (
            SELECT min(one.rowid) FROM scope AS one WHERE one.coreid = child.id)
        WHERE child.parent <> '' AND above.scope & ~own.scope <> 0
    """):
        for name in names_in(int(bits), SCOPE_TERMS):
            yield Problem(name, row=row, file=file)


@rule("scope-results-above", "whole", _GUIDE, severity="warning")
def results_above(whole: Whole) -> Problems:
    """Leave results to the events that observed them: an event that only groups others has none."""
    for bits, file, row in whole.ledger.ask("""
        SELECT results, file, row FROM scope
        WHERE results <> 0 AND coreid <> ''
            AND EXISTS (SELECT 1 FROM core WHERE core.parent = scope.coreid)
            AND EXISTS (SELECT 1 FROM core WHERE core.id = scope.coreid AND core.parent = '')
    """):
        for name in names_in(int(bits), RESULT_TERMS):
            yield Problem(name, row=row, file=file)


@rule(
    "scope-absent-taxa",
    "row",
    "Humboldt terms absentTaxa, isAbsenceReported",
    needs=("absentTaxa",),
)
def absent_taxa(row: Row) -> Problems:
    """Say isAbsenceReported=true where absentTaxa names taxa."""
    reported = row["isAbsenceReported"] == "true"
    if row.file.row_type == HUMBOLDT and row["absentTaxa"] and not reported:
        yield Problem("isAbsenceReported", row["isAbsenceReported"])


@rule(
    "scope-effort",
    "row",
    "Humboldt terms isSamplingEffortReported, samplingEffortValue",
    needs=("isSamplingEffortReported",),
)
def effort(row: Row) -> Problems:
    """Give the effort where isSamplingEffortReported is true, and nothing where it is false."""
    said, given = row["isSamplingEffortReported"], bool(row["samplingEffortValue"])
    contradicts = {"true": not given and not row["samplingEffortProtocol"], "false": given}
    if contradicts.get(said):
        yield Problem("isSamplingEffortReported", said)
