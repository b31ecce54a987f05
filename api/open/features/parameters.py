"""Read the parameters of the items of a collection into a query of the open API.

A condition that clients push to us they do not check again, so that each must mean what the
standard says: a property filter is "equals", ``datetime`` is "intersects".
"""

import re
from collections.abc import Sequence
from datetime import UTC, date, datetime
from math import isfinite
from uuid import UUID

from django.http import QueryDict

from api.open.features.collections import Collection
from api.open.filters import WORDS
from api.open.parameters import DEFAULT_SORT, SORTS, Query, read_filters, read_release
from api.parameters import read_limit, refuse, require_known
from portal.records.fields import Field

DEFAULT_LIMIT = 1000
MAX_LIMIT = 10_000
OF_ITEMS = ("release", "f", "limit", "bbox", "datetime", "cursor")
_OPEN_END = ("", "..")
_BOX, _BOX_WITH_HEIGHTS = 4, 6  # numbers
# RFC 3339; a day may stand alone or before a bare T, as GDAL writes the conditions on a date.
_TIME = re.compile(
    r"(?P<day>\d{4}-\d{2}-\d{2})"
    r"(?:T|(?P<clock>T\d{2}:\d{2}:\d{2}(?:\.\d{1,6})?(?:Z|[+-]\d{2}:\d{2})))?",
    re.ASCII,
)
_TIME_FORMS = (
    "a day (2026-04-01), an instant (2026-04-01T12:00:00Z), or two of them as an interval, "
    "start/end, with .. for an open end"
)


def read_items_query(parameters: QueryDict, collection: Collection) -> Query:
    """Understand what is asked of the items of a collection.

    Raises
    ------
    Problem
        If a name is unknown, given twice, or its value is wrong.
    """
    require_known(parameters, [*OF_ITEMS, *collection.equals])
    for name, values in parameters.lists():
        if len(values) > 1 and name != "datetime":
            refuse(name, ",".join(values), "one value")
    return Query(
        collection=collection.id,
        release=read_release(parameters),
        filters=read_filters(_as_filters(parameters, collection), collection.id),
        fields=collection.columns,
        sort=DEFAULT_SORT,
        order=SORTS[collection.id][DEFAULT_SORT],
        limit=read_limit(parameters, default=DEFAULT_LIMIT, most=MAX_LIMIT),
        whole=False,
        cursor=parameters.get("cursor"),
        count="exact",
        for_spreadsheets=False,
    )


def _as_filters(parameters: QueryDict, collection: Collection) -> QueryDict:
    """Return the conditions in the words of the open API."""
    asked = {name: str(value) for name, value in parameters.items()}
    filters: dict[str, str] = {}
    if "bbox" in asked:
        filters["bbox"] = read_box(asked["bbox"])
    filters |= _days(parameters.getlist("datetime"))
    fields = {field.name: field for field in collection.fields}
    for name in collection.equals.keys() & asked.keys():
        words = collection.equals[name]
        filters |= dict.fromkeys(words, _one_value(fields[name], asked[name], words[0]))
    found = QueryDict(mutable=True)
    found.update(filters)
    return found


def _days(intervals: Sequence[str]) -> dict[str, str]:
    """Return the days to search between; clients repeat ``datetime`` where all must hold."""
    days = [read_interval(text) for text in intervals]
    starts = [first_on for first_on, _ in days if first_on is not None]
    ends = [last_on for _, last_on in days if last_on is not None]
    found = {}
    if starts:
        found["sampled_from"] = max(starts).isoformat()
    if ends:
        found["sampled_to"] = min(ends).isoformat()
    return found


def read_box(text: str) -> str:
    """Return the four numbers of a box; heights are taken and say nothing of our places.

    Raises
    ------
    Problem
        If there are not four or six numbers, or the heights are not in order.
    """
    edges = text.split(",")
    if len(edges) not in {_BOX, _BOX_WITH_HEIGHTS} or not all(map(_is_number, edges)):
        refuse("bbox", text, "4 numbers (west,south,east,north) or 6 with heights")
    if len(edges) == _BOX:
        return text
    west, south, lowest, east, north, highest = edges
    if float(lowest) > float(highest):
        refuse("bbox", text, "heights in order, the lower one first")
    return f"{west},{south},{east},{north}"


def read_interval(text: str) -> tuple[date | None, date | None]:
    """Return the first and the last day of an instant or interval, nothing for an open end.

    Raises
    ------
    Problem
        If it is not an instant or interval, or ends before it starts.
    """
    start, is_interval, end = text.partition("/")
    if not is_interval:
        day = _day(start, text)
        return day, day
    if start in _OPEN_END and end in _OPEN_END:
        refuse("datetime", text, _TIME_FORMS)
    first_on = None if start in _OPEN_END else _day(start, text)
    last_on = None if end in _OPEN_END else _day(end, text)
    if first_on and last_on and first_on > last_on:
        refuse("datetime", text, "an interval that ends after its start")
    return first_on, last_on


def _day(text: str, received: str) -> date:
    """Return the day of an instant, in UTC."""
    found = _TIME.fullmatch(text)
    if found is None:
        refuse("datetime", received, _TIME_FORMS)
    try:
        if found["clock"]:
            return datetime.fromisoformat(text).astimezone(UTC).date()
        return date.fromisoformat(found["day"])
    except (ValueError, OverflowError):
        refuse("datetime", received, _TIME_FORMS)


def _one_value(field: Field, text: str, filter_name: str) -> str:
    """Return the value that a property must equal."""
    allowed = WORDS.get(filter_name)
    if allowed is not None and text not in allowed:
        refuse(field.name, text, "one of " + ", ".join(sorted(allowed)))
    if field.type == "id" and not _is_id(text):
        refuse(field.name, text, "an id (UUID)")
    if field.type == "whole number" and not (text.isascii() and text.isdigit()):
        refuse(field.name, text, "a whole number from 0")
    if field.type == "number" and not _is_number(text):
        refuse(field.name, text, "a number")
    if not text or "," in text:
        refuse(field.name, text, "one value")
    return text


def _is_number(text: str) -> bool:
    try:
        return text.isascii() and isfinite(float(text))
    except ValueError:
        return False


def _is_id(text: str) -> bool:
    try:
        UUID(text)
    except ValueError:
        return False
    return True
