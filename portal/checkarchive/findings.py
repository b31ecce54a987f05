"""What a rule says, and where."""

import json
from dataclasses import asdict, dataclass
from typing import Literal, NamedTuple

Severity = Literal["error", "warning", "note"]
LONGEST_VALUE = 80


class Problem(NamedTuple):
    """What a rule found; file and row only where they differ from what is being read."""

    column: str = ""
    value: str = ""
    row: int = 0
    file: str = ""


@dataclass(frozen=True, order=True)
class Finding:
    """A problem with the rule that found it; row 1 is the header, 0 the file as a whole."""

    file: str
    row: int
    column: str
    value: str
    rule: str
    severity: Severity
    message: str

    def as_line(self) -> str:
        """Return the finding on one line."""
        place = f"{self.file}:{self.row}" if self.row else self.file
        parts = (place, self.severity, self.rule, self.column, self._shown_value(), self.message)
        return " ".join(part for part in parts if part)

    def as_json(self) -> str:
        """Return the finding as one line of JSON."""
        return json.dumps(asdict(self), ensure_ascii=True)

    def _shown_value(self) -> str:
        """Return the value in quotes; hostile text must not move the cursor of a terminal."""
        return ascii(self.value) if self.value else ""


def cut(value: str) -> str:
    """Return the beginning of a value."""
    return value if len(value) <= LONGEST_VALUE else f"{value[: LONGEST_VALUE - 1]}…"
