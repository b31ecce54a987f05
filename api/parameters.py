"""Refuse query parameters that nobody knows, and values that are not allowed."""

import difflib
from collections.abc import Sequence
from typing import NoReturn

from django.http import QueryDict

from api.errors import Problem

DEFAULT_LIMIT = 100
MAX_LIMIT = 1000
MAX_DIGITS = 9
MAX_NAME = 80


def refuse(name: str, received: object, allowed: str, known: Sequence[str] = ()) -> NoReturn:
    """Refuse a parameter with a wrong value.

    Parameters
    ----------
    name : str
        The parameter.
    received : object
        The value, or the wrong part of it.
    allowed : str
        What is allowed, in words.
    known : sequence of str
        The allowed values where they are a list: the nearest one is told.

    Raises
    ------
    Problem
        Naming the parameter, what was received and what is allowed.
    """
    nearest = nearest_of(str(received), known)
    hint = f" Did you mean {nearest!r}?" if nearest else ""
    code = "parameter-wrong"
    raise Problem(
        code,
        f"The parameter {name} takes {allowed}.{hint}",
        parameter=name,
        received=str(received)[:80],
        allowed=allowed,
        **({"nearest": nearest} if known else {}),
    )


def nearest_of(name: str, known: Sequence[str]) -> str | None:
    """Return the known name that is most like another one, if any is like it."""
    found = difflib.get_close_matches(name[:MAX_NAME], known, n=1, cutoff=0.5)
    return found[0] if found else None


def require_once(parameters: QueryDict, names: Sequence[str]) -> None:
    """Refuse parameters of one value that come twice.

    Raises
    ------
    Problem
        Naming the first that does.
    """
    for name in names:
        values = parameters.getlist(name)
        if len(values) > 1:
            refuse(name, ",".join(values), "one value")


def require_known(parameters: QueryDict, known: Sequence[str]) -> None:
    """Refuse parameters that nobody knows here.

    Raises
    ------
    Problem
        Naming the first unknown parameter and the nearest known one.
    """
    for name in parameters:
        if name not in known:
            nearest = nearest_of(name, known)
            code = "parameter-unknown"
            raise Problem(
                code,
                f"There is no parameter {name[:80]!r} here."
                + (f" Did you mean {nearest!r}?" if nearest else ""),
                parameter=name[:80],
                allowed=sorted(known),
                nearest=nearest,
            )


def require_only_json(parameters: QueryDict, *known: str) -> None:
    """Refuse what an address that answers in JSON only does not take.

    Raises
    ------
    Problem
        If a parameter is unknown, or another format is asked for.
    """
    require_known(parameters, ["f", *known])
    if parameters.get("f", "json") != "json":
        refuse("f", parameters["f"], "json")


def read_limit(
    parameters: QueryDict, *, default: int = DEFAULT_LIMIT, most: int = MAX_LIMIT
) -> int:
    """Return how many rows are wanted; more than the most is lowered to it.

    Raises
    ------
    Problem
        If it is no whole number from 1.
    """
    text = parameters.get("limit")
    if text is None:
        return default
    if not (text.isascii() and text.isdigit()) or int(text[:MAX_DIGITS]) < 1:
        refuse("limit", text, f"a whole number from 1 to {most}")
    return min(int(text[:MAX_DIGITS]), most)
