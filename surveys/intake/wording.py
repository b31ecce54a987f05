"""Faults in the reader's language: the code and the place stay, the words change.

Faults are kept in English with the code and the arguments of what was found, so that a stored
answer can be told again in another language.
"""

from collections.abc import Iterable
from typing import Any

from django.utils.translation import get_language

from surveys.checks.german import COMMENTS
from surveys.intake.german import FAULT_TEXTS


def translated(faults: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return faults in the language of this request."""
    if get_language() != "de":
        return list(faults)
    return [in_german(fault) for fault in faults]


def in_german(fault: dict[str, Any]) -> dict[str, Any]:
    """Return a fault with German words, as far as there are any for its code."""
    comment = COMMENTS.get(fault.get("reason", ""))
    if comment is not None:
        return {**fault, "message": comment.format(**fault.get("arguments", {}))}
    text = FAULT_TEXTS.get(fault["code"])
    if text is None:
        return fault
    return {**fault, "message": text.meaning, "hint": text.fix}
