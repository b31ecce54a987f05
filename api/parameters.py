"""Refuse query parameters that nobody knows, and values that are not allowed."""

import difflib
from collections.abc import Sequence
from typing import NoReturn

from django.http import QueryDict

from api.errors import Problem


def refuse(name: str, received: object, allowed: str) -> NoReturn:
    """Refuse a parameter with a wrong value.

    Raises
    ------
    Problem
        Naming the parameter, what was received and what is allowed.
    """
    code = "parameter-wrong"
    raise Problem(
        code,
        f"The parameter {name} takes {allowed}.",
        parameter=name,
        received=str(received)[:80],
        allowed=allowed,
    )


def require_known(parameters: QueryDict, known: Sequence[str]) -> None:
    """Refuse parameters that nobody knows here.

    Raises
    ------
    Problem
        Naming the first unknown parameter and the nearest known one.
    """
    for name in parameters:
        if name not in known:
            nearest = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
            code = "parameter-unknown"
            raise Problem(
                code,
                f"There is no parameter {name[:80]!r} here."
                + (f" Did you mean {nearest[0]!r}?" if nearest else ""),
                parameter=name[:80],
                allowed=sorted(known),
                nearest=nearest[0] if nearest else None,
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
