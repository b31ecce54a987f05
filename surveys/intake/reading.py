"""Read what was sent against its shape; faults say where and how to mend."""

import json
from collections.abc import Iterator
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from surveys.intake.faults import Fault, escape
from surveys.intake.payload import VisitIn

_CODES = {
    "missing": "field-missing",
    "extra_forbidden": "field-unknown",
    "enum": "word-unknown",
    "literal_error": "word-unknown",
    "word_unknown": "word-unknown",
    "greater_than": "number-out-of-range",
    "greater_than_equal": "number-out-of-range",
    "less_than": "number-out-of-range",
    "less_than_equal": "number-out-of-range",
    "decimal_max_places": "number-too-precise",
    "decimal_type": "number-not-readable",
    "float_type": "number-not-readable",
    "int_type": "number-not-whole",
    "int_from_float": "number-not-whole",
    "bool_type": "not-yes-or-no",
    "string_type": "text-expected",
    "string_pattern_mismatch": "code-not-allowed",
    "string_too_short": "text-too-short",
    "string_too_long": "text-too-long",
    "date_from_datetime_parsing": "date-not-readable",
    "date_parsing": "date-not-readable",
    "date_type": "date-not-readable",
    "too_short": "list-too-short",
    "too_long": "list-too-long",
}
_LIMITS = {"ge": ">= {}", "gt": "> {}", "le": "<= {}", "lt": "< {}", "expected": "{}"}
# A union reports one fault per member; the lower the rank, the more telling.
_RANK = {"count-out-of-range": 0, "number-out-of-range": 0, "number-not-whole": 1}
Shape = TypeVar("Shape", bound=BaseModel)
_COUNT_ALLOWED = "a whole number of 0 or more, 'not_looked_for', or null if not entered"


def read_visit(raw: Any, pointer: str) -> tuple[VisitIn | None, list[Fault]]:
    """Return the visit, or nothing and every fault found in it."""
    return read_shape(VisitIn, raw, pointer, sent_ref(raw))


def read_shape(
    shape: type[Shape], raw: Any, pointer: str = "", record: str = ""
) -> tuple[Shape | None, list[Fault]]:
    """Return a JSON value as its shape, or nothing and every fault found in it."""
    faults = [
        Fault(
            pointer=pointer + where,
            code="text-control-character",
            severity="error",
            message="The text holds a character that cannot be shown or stored.",
            received=text,
            allowed="printable characters and line breaks",
            record=record,
        )
        for where, text in _odd_texts(raw, "")
    ]
    if faults:
        return None, faults
    try:
        return shape.model_validate_json(json.dumps(raw), strict=True), []
    except ValidationError as error:
        return None, _faults(error, raw, pointer, record)


def sent_ref(raw: Any) -> str:
    """Return the reference of a sent visit, empty if there is none that could be stored."""
    ref = raw.get("client_ref") if isinstance(raw, dict) else None
    return ref[:80] if isinstance(ref, str) and not is_odd_text(ref) else ""


def _faults(error: ValidationError, raw: Any, pointer: str, record: str) -> list[Fault]:
    """Keep the most telling fault of each place: a union reports one per member.

    A list that may also be a word is at fault itself only if no entry of it is.
    """
    best: dict[str, Fault] = {}
    for detail in error.errors(include_url=False):
        fault = _fault(detail, raw, pointer, record)
        held = best.get(fault.pointer)
        if held is None or _RANK.get(fault.code, 9) < _RANK.get(held.code, 9):
            best[fault.pointer] = fault
    with_faulty_entries = {where.rpartition("/")[0] for where in best if where}
    return [fault for where, fault in best.items() if where not in with_faulty_entries]


def _fault(detail: ErrorDetails, raw: Any, pointer: str, record: str) -> Fault:
    steps, received = _locate(raw, detail)
    code = _CODES.get(detail["type"], "value-not-allowed")
    if code == "number-not-readable" and isinstance(received, str) and "," in received:
        code = "number-decimal-comma"
    is_count = steps[-1:] == ["number"]
    if code == "number-out-of-range" and is_count:
        code = "count-out-of-range"
    return Fault(
        pointer=pointer + "".join(f"/{escape(step)}" for step in steps),
        code=code,
        severity="error",
        message=detail["msg"].rstrip(".") + ".",
        received=received,
        allowed=_COUNT_ALLOWED if is_count else _allowed(detail),
        record=record,
    )


def _allowed(detail: ErrorDetails) -> str | None:
    context = detail.get("ctx", {})
    if "allowed" in context:
        return ", ".join(context["allowed"])
    return next(
        (form.format(context[key]) for key, form in _LIMITS.items() if key in context), None
    )


def _locate(raw: Any, detail: ErrorDetails) -> tuple[list[int | str], Any]:
    """Follow a location in what was sent; steps that name a union's member are left out."""
    steps: list[int | str] = []
    value = raw
    for step in detail["loc"]:
        if _has(value, step):
            value = value[step]
            steps.append(step)
    if detail["type"] == "missing":
        return [*steps, detail["loc"][-1]], None
    return steps, value


def _has(value: Any, step: int | str) -> bool:
    if isinstance(value, dict):
        return step in value
    return isinstance(value, list) and isinstance(step, int) and step < len(value)


def is_odd_text(text: str) -> bool:
    """Tell whether a text holds a character that cannot be shown or stored."""
    return any(_is_odd(char) for char in text)


def _odd_texts(value: Any, where: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, str):
        if is_odd_text(value):
            yield where, value
    elif isinstance(value, list):
        for index, part in enumerate(value):
            yield from _odd_texts(part, f"{where}/{index}")
    elif isinstance(value, dict):
        for key, part in value.items():
            yield from _odd_texts(part, f"{where}/{escape(key)}")


def _is_odd(char: str) -> bool:
    return (ord(char) < ord(" ") and char not in "\n\r\t") or "\ud800" <= char <= "\udfff"
