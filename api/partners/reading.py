"""Understand headers and bodies of partner requests."""

from datetime import UTC, datetime
from typing import Any

from django.utils.dateparse import parse_datetime
from rest_framework.request import Request

from api.errors import Problem
from api.parameters import MAX_DIGITS, refuse
from api.parsing import body_of
from surveys.intake.strict_json import NotReadable, read_json

MAX_KEY = 128


def idempotency_key(request: Request) -> str | None:
    """Return the Idempotency-Key, if sent.

    Raises
    ------
    Problem
        If it is not 1 to 128 printable ASCII characters.
    """
    key = request.headers.get("Idempotency-Key")
    if key is None:
        return None
    if not (1 <= len(key) <= MAX_KEY and key.isascii() and key.isprintable()):
        code = "idempotency-key-wrong"
        raise Problem(code)
    return key


def choice(request: Request, name: str, allowed: tuple[str, ...]) -> str:
    """Return a query parameter out of a closed list; the first is the default.

    Raises
    ------
    Problem
        If the value is not in the list.
    """
    value = request.query_params.get(name, allowed[0])
    if value not in allowed:
        code = "parameter-wrong"
        raise Problem(
            code,
            f"The parameter {name} takes {' or '.join(allowed)}.",
            parameter=name,
            received=value[:80],
            allowed=list(allowed),
        )
    return value


def only_known(request: Request, *known: str) -> None:
    """Refuse parameters that nobody knows here.

    Raises
    ------
    Problem
        Naming the first unknown one.
    """
    for name in request.query_params:
        if name not in known:
            code = "parameter-unknown"
            raise Problem(
                code,
                f"There is no parameter {name[:80]!r} here.",
                parameter=name[:80],
                allowed=sorted(known),
            )


def json_object(request: Request) -> dict[str, Any]:
    """Return the body as a JSON object; an empty body is an empty object.

    Raises
    ------
    Problem
        If it is no JSON object.
    """
    body = body_of(request)
    if not body:
        return {}
    code = "body-not-json"
    try:
        value = read_json(body)
    except NotReadable as error:
        raise Problem(code, str(error)) from error
    if not isinstance(value, dict):
        raise Problem(code, "Send one JSON object.")
    return value


def expected_revision(request: Request) -> int:
    """Return the revision that the caller read, from If-Match.

    Raises
    ------
    Problem
        If the header is missing (428) or names no revision (412).
    """
    tag = request.headers.get("If-Match")
    code = "revision-missing"
    if tag is None:
        raise Problem(code)
    text = tag.strip().strip('"').removeprefix("revision-")
    code = "revision-stale"
    if not (text.isascii() and text.isdigit() and len(text) <= 9):  # noqa: PLR2004 -- an integer
        raise Problem(code, "If-Match names no revision of this record.")
    return int(text)


def revision_tag(revision: int) -> str:
    """Return the ETag of a revision."""
    return f'"revision-{revision}"'


def instant(request: Request, name: str) -> datetime | None:
    """Return a query parameter that is an instant with its offset, if sent.

    Raises
    ------
    Problem
        If it is none.
    """
    value = request.query_params.get(name)
    if value is None:
        return None
    try:
        found = parse_datetime(value)
        if found is not None and found.tzinfo is not None:
            return found.astimezone(UTC)
    except (ValueError, OverflowError):
        found = None
    return refuse(name, value, "an instant with its offset, such as 2025-04-12T10:00:00Z")


def whole_number(request: Request, name: str) -> int:
    """Return a query parameter that is a whole number; 0 if it was not sent.

    Raises
    ------
    Problem
        If it is none, or has more than nine digits.
    """
    value = request.query_params.get(name, "0")
    if not (value.isascii() and value.isdigit() and len(value) <= MAX_DIGITS):
        refuse(name, value, "a whole number of 0 or more")
    return int(value)
