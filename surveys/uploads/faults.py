"""A fault of a table: in which row and column, what was received, what is allowed."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class RowFault:
    """One fault; rows are counted as a spreadsheet does, the header being row 1."""

    row: int | None
    column: str
    code: str
    message: str
    received: Any = None
    allowed: str | None = None
    severity: str = "error"
    record: str = ""


class FileNotReadable(Exception):  # noqa: N818 -- reads as what happened
    """Nothing of the file can be taken in; the fault says where and why."""

    def __init__(self, fault: RowFault) -> None:
        super().__init__(fault.message)
        self.faults = [fault]
