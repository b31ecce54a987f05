"""Let a view that answers in several formats choose for itself."""

import re
from collections.abc import Iterable, Mapping

from rest_framework.negotiation import DefaultContentNegotiation
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request

from api.errors import Problem
from api.parameters import refuse

_WEIGHT = re.compile(r"(?:^|;)\s*q=(0(?:\.\d{0,3})?)\s*(?:;|$)")
_ALL = "*/*"


class ViewChooses(DefaultContentNegotiation):
    """Leave ``Accept`` to the view: it knows of formats that are no renderers."""

    def select_renderer(
        self, request: Request, renderers: Iterable[BaseRenderer], format_suffix: str | None = None
    ) -> tuple[BaseRenderer, str]:
        """Return the JSON renderer, for views that answer with plain data."""
        del request, format_suffix
        renderer = next(iter(renderers))
        return renderer, renderer.media_type


def chosen_format(request: Request, names: Mapping[str, str]) -> str:
    """Return the name of a format: by ``f``, else by ``Accept``, the first where any will do.

    Parameters
    ----------
    request : Request
        The request.
    names : mapping
        The name of the format by media type; a format may have several types.

    Raises
    ------
    Problem
        If neither names a format that we have.
    """
    known = list(dict.fromkeys(names.values()))
    wanted = request.query_params.get("f")
    if wanted is not None:
        if wanted not in known:
            refuse("f", wanted, "one of " + ", ".join(known), known)
        return wanted
    accepted = preferred_type(request.headers.get("Accept", ""), list(names))
    if accepted is None:
        code = "format-not-available"
        raise Problem(code, f"Ask for {' or '.join(names)}.", available=known)
    return names[accepted]


def preferred_type(header: str, media_types: list[str]) -> str | None:
    """Return the media type that an ``Accept`` header wants most (RFC 9110, section 12.5.1).

    The most specific range decides the weight of a type. Of types with the same weight the one
    named first is taken, of types under one range the first that we have.
    """
    ranges = _ranges(header)
    best: str | None = None
    best_rank = (0.0, 0)
    for media_type in media_types:
        matching = [
            (_breadth(pattern), place, weight)
            for place, (pattern, weight) in enumerate(ranges)
            if _matches(pattern, media_type)
        ]
        _, place, weight = min(matching, default=(0, 0, 0.0))
        if weight > 0 and (best is None or (weight, -place) > best_rank):
            best, best_rank = media_type, (weight, -place)
    return best


def _ranges(header: str) -> list[tuple[str, float]]:
    """Return each range with its weight; parameters of types are not looked at."""
    parts = [part.partition(";") for part in header.lower().split(",") if part.strip()]
    read = [(pattern.strip(), _weight(parameters)) for pattern, _, parameters in parts]
    return read or [(_ALL, 1.0)]


def _weight(parameters: str) -> float:
    """Return the weight of a range; 1 unless another one is readable."""
    found = _WEIGHT.search(parameters)
    return float(found[1]) if found else 1.0


def _matches(pattern: str, media_type: str) -> bool:
    kind, _, subtype = pattern.partition("/")
    if pattern in {_ALL, media_type}:
        return True
    return subtype == "*" and media_type.startswith(f"{kind}/")


def _breadth(pattern: str) -> int:
    return pattern.count("*")
