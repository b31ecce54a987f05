"""Read a table once to its end before anything is stored: how to read it, and how long it is."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from surveys.uploads.evidence import (
    Evidence,
    Question,
    decide_dates,
    decide_decimal,
    decide_encoding,
)
from surveys.uploads.faults import FileNotReadable, RowFault
from surveys.uploads.models import FileKind
from surveys.uploads.notes import Notes
from surveys.uploads.tables import Rows, Table

MOST_APART = 1_000
BEAT_ROWS = 20_000
BEAT_VISITS = 5_000


@dataclass
class Scan:
    """What one reading of a table told; ``because`` says how each way of reading is known."""

    last_row: int = 0
    photos: int = 0
    apart: list[str] = field(default_factory=list)
    because: dict[str, str] = field(default_factory=dict)
    questions: list[Question] = field(default_factory=list)


def scan(table: Table, answers: dict[str, str], notes: Notes, beat: Callable[[int], None]) -> Scan:
    """Read a table to its end and set how it is read, as far as that is certain.

    Raises
    ------
    FileNotReadable
        If the rows of very many visits do not stand together.
    """
    found = Scan()
    evidence = Evidence()
    if table.kind != FileKind.NDJSON:
        for row, cells in _beating(table.rows(), beat):
            found.last_row = row
            evidence.look_at(row, zip(table.columns, cells, strict=False))
    _decide(table, answers, evidence, found)
    if found.questions:
        return found
    for number, visit in enumerate(table.visits(), start=1):
        found.last_row = visit.last_row
        found.photos += len(visit.photos)
        if table.kind != FileKind.NDJSON and visit.ref and not notes.is_new(visit):
            found.apart.append(visit.ref)
        if len(found.apart) > MOST_APART:
            raise FileNotReadable(_scattered())
        if number % BEAT_VISITS == 0:
            beat(visit.last_row)
    return found


def _decide(table: Table, answers: dict[str, str], evidence: Evidence, found: Scan) -> None:
    asked = decide_encoding(table.encoding, evidence)
    found.because["encoding"] = table.encoding.because
    if asked is not None:
        found.questions.append(asked)
    if table.kind == FileKind.NDJSON:
        return
    if table.kind == FileKind.CSV:
        found.because["separator"] = (
            "you said so" if "separator" in answers else "it makes known columns of the header"
        )
    for name, decide in (("decimal", decide_decimal), ("dates", decide_dates)):
        decided = ("", "you said so") if name in answers else decide(evidence)
        if isinstance(decided, Question):
            found.questions.append(decided)
            continue
        value, found.because[name] = decided
        if value:
            table.reading = replace(table.reading, **{name: value})


def _beating(rows: Rows, beat: Callable[[int], None]) -> Rows:
    for number, row in enumerate(rows, start=1):
        if number % BEAT_ROWS == 0:
            beat(row[0])
        yield row


def _scattered() -> RowFault:
    return RowFault(
        row=None,
        column="client_ref",
        code="rows-apart",
        message=f"The rows of more than {MOST_APART} visits do not stand together.",
        allowed="all rows of a visit one below the other: sort the table by client_ref",
    )
