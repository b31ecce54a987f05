"""A fault of a sent record: where, what was received, what is allowed."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from surveys.intake.fault_texts import FAULT_TEXTS

RECEIVED_MAX = 80


@dataclass(frozen=True)
class Fault:
    """One fault; ``pointer`` is a JSON Pointer (RFC 6901) into the body sent.

    ``severity`` is ``error`` (the record is not stored), ``query`` (stored, a person will
    look) or ``note``. How to mend it is said by the code. For a finding of a check, ``reason`` and
    ``arguments`` say the same as the message, for machines and other languages.
    """

    pointer: str
    code: str
    severity: str
    message: str
    received: Any = None
    allowed: str | None = None
    record: str = ""
    reason: str = ""
    arguments: Mapping[str, str] = field(default_factory=dict)

    def as_dict(self) -> dict[str, Any]:
        """Return the fault for an answer, with a hint and with what was received cut short."""
        text = FAULT_TEXTS.get(self.code)
        hint = text.fix if text else ""
        told = {**asdict(self), "received": cut(self.received), "hint": hint}
        if not self.reason:
            del told["reason"], told["arguments"]
        return told


def cut(value: Any) -> Any:
    """Return a value short enough to be shown, without control characters."""
    if value is None or isinstance(value, bool | int | float):
        return value
    text = value if isinstance(value, str) else f"({type(value).__name__})"
    text = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text)
    return text if len(text) <= RECEIVED_MAX else text[: RECEIVED_MAX - 1] + "…"


def escape(part: object) -> str:
    """Return one step of a JSON Pointer."""
    return str(part).replace("~", "~0").replace("/", "~1")
