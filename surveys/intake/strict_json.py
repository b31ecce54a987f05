"""One strict reader for every JSON body: what is odd is refused, never guessed."""

import json
import math
from typing import Any, NoReturn

MAX_DEPTH = 20
MAX_DIGITS = 18


class NotReadable(Exception):  # noqa: N818 -- reads as what happened
    """The body is not JSON that we accept; the message says why and where."""


def read_json(body: bytes) -> Any:
    """Return the value of a JSON text.

    Raises
    ------
    NotReadable
        If the bytes are not UTF-8, begin with a byte order mark, are not JSON, are nested deeper
        than 20, or hold a key twice, a key that cannot be shown, a number that is no finite
        number, or a whole number of more than 18 digits.
    """
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        msg = f"Byte {error.start} is not UTF-8. Save the text as UTF-8 and send it again."
        raise NotReadable(msg) from error
    if text.startswith("\N{ZERO WIDTH NO-BREAK SPACE}"):
        msg = "The text begins with a byte order mark. Save it as UTF-8 without one."
        raise NotReadable(msg)
    _refuse_deep(text)
    try:
        return json.loads(
            text,
            object_pairs_hook=_object,
            parse_int=_whole_number,
            parse_float=_number,
            parse_constant=_refuse_constant,
        )
    except json.JSONDecodeError as error:
        msg = f"Not JSON at line {error.lineno}, column {error.colno}: {error.msg}."
        raise NotReadable(msg) from error


def _refuse_deep(text: str) -> None:
    depth, in_string, escaped = 0, False, False
    for char in text:
        if in_string:
            in_string = escaped or char != '"'
            escaped = char == "\\" and not escaped
        elif char == '"':
            in_string = True
        elif char in "[{":
            depth += 1
            if depth > MAX_DEPTH:
                msg = f"Nested deeper than {MAX_DEPTH} levels."
                raise NotReadable(msg)
        elif char in "]}":
            depth -= 1


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for key, value in pairs:
        if key in made:
            msg = f"The key {key[:40]!r} stands twice in one object. Keep one of them."
            raise NotReadable(msg)
        if not key.isprintable():  # it would be told back in a pointer, and stored
            msg = f"The key {key[:40]!r} holds a character that cannot be shown. Remove it."
            raise NotReadable(msg)
        made[key] = value
    return made


def _whole_number(text: str) -> int:
    if len(text.lstrip("-")) > MAX_DIGITS:
        msg = f"A whole number has more than {MAX_DIGITS} digits."
        raise NotReadable(msg)
    return int(text)


def _number(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        msg = f"The number {text[:20]} is too large."
        raise NotReadable(msg)
    return number


def _refuse_constant(name: str) -> NoReturn:
    msg = f"{name} is not a number in JSON. Use null for a value that was not entered."
    raise NotReadable(msg)
