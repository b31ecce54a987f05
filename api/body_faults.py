"""Faults of small bodies, in the words that the partner face has for those of records."""

from typing import Any

from pydantic_core import ErrorDetails

from api.german import BODY_FAULTS as GERMAN
from api.languages import spoken_language

_CODES = {
    "missing": "field-missing",
    "extra_forbidden": "field-unknown",
    "literal_error": "word-unknown",
    "greater_than_equal": "number-out-of-range",
    "less_than_equal": "number-out-of-range",
    "int_type": "number-not-whole",
    "int_from_float": "number-not-whole",
    "bool_type": "not-yes-or-no",
    "string_type": "text-expected",
    "string_too_short": "text-too-short",
    "string_too_long": "text-too-long",
    "too_short": "list-too-short",
}
_OTHERWISE = "value-not-allowed"
HINTS = {
    "field-missing": "Add this field.",
    "field-unknown": "Remove the field or correct its name.",
    "word-unknown": "Use one of the allowed words.",
    "number-out-of-range": "Check the number and its unit.",
    "number-not-whole": "Send a whole number without quotation marks.",
    "not-yes-or-no": "Send true or false.",
    "text-expected": "Send a text in quotation marks.",
    "text-too-short": "Fill the text in.",
    "text-too-long": "Shorten the text.",
    "list-too-short": "Add at least one entry.",
    _OTHERWISE: "Correct the value.",
}


def body_fault(detail: ErrorDetails) -> dict[str, Any]:
    """Return what is wrong at one place of a body, in the language of this request."""
    code = _CODES.get(detail["type"], _OTHERWISE)
    message, hint = detail["msg"].rstrip(".") + ".", HINTS[code]
    if spoken_language() == "de":
        message, hint = GERMAN[code]
    return {
        "pointer": "".join(f"/{_escaped(step)}" for step in detail["loc"]),
        "code": code,
        "severity": "error",
        "message": message,
        "hint": hint,
    }


def _escaped(step: int | str) -> str:
    """Return one step of a JSON Pointer (RFC 6901, section 3)."""
    return str(step).replace("~", "~0").replace("/", "~1")
