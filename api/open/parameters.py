"""Read the parameters of an open query strictly: unknown names and wrong values are refused."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar
from urllib.parse import urlencode

from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import QueryDict
from django_filters import Filter

from api.errors import Problem
from api.open.filters import FILTERS, MAX_WORDS, WORDS, BoxField
from api.pagination import Order
from api.parameters import MAX_DIGITS, MAX_LIMIT, read_limit, refuse, require_known, require_once
from portal.records.indexes import COUNT_WORDS, PAGE_KEY, PIT_WORDS, VISIT_WORDS
from portal.records.models import Release
from portal.records.pages import Spread, spread_over
from portal.records.queries import TABLES, release_to_read

Choice = TypeVar("Choice")
SHARED = ("release", "f")
DEFAULT_SORT = "sampled_on"
DAYS = {"sampled_from", "sampled_to"}
ALL = "all"
PAGED = ("fields", "sort", "limit", "cursor", "count", "bom")
_SORTS = {
    "sampled_on": Order("sampled_first_on"),
    "people_digging": Order("people_digging", nullable=True),
    "uncertainty_m": Order("uncertainty_m", nullable=True),
}
_PIT_SORTS = {
    "area_m2": Order("area_m2"),
    "depth_cm": Order("depth_cm"),
    "sorting_minutes": Order("sorting_minutes", nullable=True),
}
SORTS: dict[str, dict[str, Order]] = {
    "visits": _SORTS,
    "pits": _SORTS | _PIT_SORTS | {"found": Order("found", nullable=True)},
    "counts": _SORTS | _PIT_SORTS | {"number": Order("number", nullable=True)},
    "occurrences": _SORTS | _PIT_SORTS | {"number": Order("number", nullable=True)},
}

WORD_COLUMNS = {
    "visits": {*VISIT_WORDS.values()},
    "pits": {*PIT_WORDS.values()},
    "counts": {*COUNT_WORDS.values()},
    "occurrences": {*COUNT_WORDS.values()},
}


def read_release(parameters: QueryDict) -> Release:
    """Return the release asked for, else the current one.

    Raises
    ------
    Problem
        If there is no such release.
    """
    text = parameters.get("release")
    if text is None:
        release = release_to_read(None)
    elif text.isascii() and text.isdigit() and len(text) <= MAX_DIGITS:
        release = release_to_read(int(text))
    else:
        release = None
    if release is None and text is None:
        code = "not-found"
        raise Problem(code, "No release has been made yet.")
    if release is None:
        numbers = ", ".join(str(n) for n in Release.objects.values_list("number", flat=True))
        refuse("release", text, f"the number of a release: {numbers}")
    return release


@dataclass(frozen=True)
class Query:
    """An understood query: what to read and how to say it again."""

    collection: str
    release: Release
    filters: dict[str, str]
    fields: list[str]
    sort: str
    order: Order
    limit: int
    whole: bool
    cursor: str | None
    count: str
    for_spreadsheets: bool

    def normalised(self) -> str:
        """Return the query as one reproducible text; the release is always named."""
        parts = {"release": str(self.release.number), **self.filters}
        if self.sort != DEFAULT_SORT:
            parts["sort"] = self.sort
        return f"/api/v1/{self.collection}?{urlencode(sorted(parts.items()))}"

    def fingerprint(self) -> str:
        """Return the hash that binds a cursor to this query."""
        return hashlib.sha256(self.normalised().encode()).hexdigest()[:16]


def read_query(parameters: QueryDict, collection: str, fields: Sequence[str]) -> Query:
    """Understand the parameters of a collection.

    Raises
    ------
    Problem
        If a name is unknown or a value is wrong.
    """
    filter_names = list(FILTERS[collection].base_filters)
    require_known(parameters, [*SHARED, *PAGED, *filter_names])
    require_once(parameters, [*SHARED, *PAGED, "bbox"])
    sort = parameters.get("sort", DEFAULT_SORT)
    whole = parameters.get("limit") == ALL
    if whole and "cursor" in parameters:
        refuse("cursor", parameters["cursor"], "nothing beside limit=all")
    return Query(
        collection=collection,
        release=read_release(parameters),
        filters=read_filters(parameters, collection),
        fields=_fields(parameters.get("fields"), fields),
        sort=sort,
        order=_order(sort, collection),
        limit=MAX_LIMIT if whole else read_limit(parameters),
        whole=whole,
        cursor=parameters.get("cursor"),
        count=_choice(parameters, "count", {"about": "about", "exact": "exact", "none": "none"}),
        for_spreadsheets=_choice(parameters, "bom", {"false": False, "true": True}),
    )


def read_filters(parameters: QueryDict, collection: str) -> dict[str, str]:
    """Return the filters given, words joined and sorted.

    Raises
    ------
    Problem
        If a value is wrong.
    """
    found = {}
    for name in FILTERS[collection].base_filters:
        values = parameters.getlist(name)
        if not values:
            continue
        words = sorted({word for value in values for word in value.split(",")})
        if name not in WORDS and "" in words:
            refuse(name, ",".join(values), "a value")
        _require_words(name, words)
        if len(words) > MAX_WORDS:
            refuse(name, f"{len(words)} words", f"at most {MAX_WORDS} words")
        if "\x00" in "".join(values):
            refuse(name, "a control character", "printable text")
        found[name] = values[-1] if name == "bbox" else ",".join(words)
    return found


def _require_words(name: str, words: Sequence[str]) -> None:
    known = sorted(WORDS.get(name, words))
    for word in words:
        if word not in known:
            refuse(name, word, "any of " + ", ".join(known), known)


def apply_filters(
    rows: QuerySet[Any], collection: str, filters: Mapping[str, str]
) -> QuerySet[Any]:
    """Narrow rows by understood filters.

    Raises
    ------
    Problem
        If a value cannot be read.
    """
    known = FILTERS[collection].base_filters
    for name in filters:
        rows = known[name].filter(rows, _value(known[name], name, filters))
    return rows


def _value(known: Filter, name: str, filters: Mapping[str, str]) -> Any:
    """Return the value of one filter; a whole set of them takes longer than the query."""
    try:
        value = known.field.clean(known.field.widget.value_from_datadict(filters, {}, name))
    except ValidationError as error:
        refuse(name, filters[name], _allowed(name, error.messages[0]))
    if value is None:
        refuse(name, filters[name], "true or false")
    return value


def spread_of(query: Query) -> Spread | None:
    """Return the values of one column by which a query is best read as a merge, if it is."""
    if query.order.column != PAGE_KEY[0]:
        return None
    is_alone = len(query.filters.keys() - DAYS) == 1
    if "bbox" in query.filters:
        box = BoxField().clean(query.filters["bbox"])
        table = TABLES.get(query.collection, TABLES["counts"])
        return spread_over(box, table, query.release.number, is_alone=is_alone) if box else None
    known = FILTERS[query.collection].base_filters
    for name, text in query.filters.items():
        column, words = known[name].field_name, text.split(",")
        if is_alone and len(words) > 1 and column in WORD_COLUMNS[query.collection]:
            return Spread(column, words)
    return None


def _allowed(name: str, message: str) -> str:
    if name in {"sampled_from", "sampled_to"}:
        return "a day as YYYY-MM-DD"
    if name.endswith("_id"):
        return "an id (UUID)"
    if name.startswith(("min_", "max_")):
        return "a number"
    return message


def _fields(text: str | None, known: Sequence[str]) -> list[str]:
    if text is None:
        return list(known)
    asked = text.split(",")
    for name in asked:
        if name not in known:
            refuse("fields", name, "names of fields: " + ", ".join(known), known)
    return [name for name in known if name in asked or name == known[0]]


def _order(text: str, collection: str) -> Order:
    sorts = SORTS[collection]
    base = sorts.get(text.removeprefix("-"))
    if base is None:
        refuse("sort", text, "one of " + ", ".join(sorts) + ", with - for descending", [*sorts])
    return Order(base.column, descending=text.startswith("-"), nullable=base.nullable)


def _choice(parameters: QueryDict, name: str, choices: dict[str, Choice]) -> Choice:
    text = parameters.get(name)
    if text is None:
        return next(iter(choices.values()))
    if text not in choices:
        refuse(name, text, " or ".join(choices))
    return choices[text]


def stamp(*parts: object) -> str:
    """Return a strong ETag of what an answer depends on."""
    text = json.dumps(parts, default=str, sort_keys=True)
    return f'"{hashlib.sha256(text.encode()).hexdigest()[:32]}"'
