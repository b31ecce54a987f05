"""One page of the rows that a query chooses: its reading, its links, how many match."""

import json
from collections.abc import Iterable
from dataclasses import replace
from functools import partial
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.core.cache import cache
from django.db.models import QuerySet
from rest_framework.request import Request

from api.errors import Problem
from api.links import address
from api.open.answers import entity_tag
from api.open.parameters import Query, spread_of
from api.pagination import (
    MODEL_ROWS,
    CursorInvalid,
    CursorMismatch,
    Key,
    Page,
    Reader,
    read_page,
)
from portal.records.pages import EXACT_UP_TO, Spread, Total, documents, first_rows, total

REMEMBERED_S = 3600


def matched(rows: QuerySet[Any], query: Query) -> dict[str, Any]:
    """Return how many rows match, and whether that is an estimate, as far as it is asked for."""
    if query.count == "none":
        return {}
    key = f"matched-{entity_tag(query.release, query.normalised(), count=query.count)}"
    found: Total | None = cache.get(key.replace('"', ""))
    if found is None:
        found = total(rows, spread_of(query), exact=query.count == "exact")
        if found.rows > EXACT_UP_TO:  # fewer are counted in no time
            cache.set(key.replace('"', ""), found, REMEMBERED_S)
    return {"matched": found.rows} | ({"estimated": True} if found.is_estimate else {})


def _key_told(document: str, column: str) -> Key:
    told = json.loads(document)
    return told[column], UUID(told["id"])


PREPARED_ROWS = Reader(read=lambda rows, limit: documents(rows[:limit]), key=_key_told)


def page_of(rows: QuerySet[Any], query: Query, reader: Reader = MODEL_ROWS) -> Page:
    """Return the page that a query asks for, of the rows that it chooses.

    Raises
    ------
    Problem
        If the cursor is not ours, or of another query.
    """
    try:
        return read_page(
            rows,
            query.order,
            limit=query.limit,
            cursor=query.cursor,
            query=query.fingerprint(),
            reader=replace(reader, read=partial(_read_spread, spread_of(query), reader)),
        )
    except CursorInvalid as error:
        code = "cursor-invalid"
        raise Problem(code, str(error)) from error
    except CursorMismatch as error:
        code = "cursor-mismatch"
        raise Problem(code) from error


def _read_spread(
    spread: Spread | None, reader: Reader, rows: QuerySet[Any], limit: int
) -> Iterable[Any]:
    return reader.read(first_rows(rows, limit, spread), limit)


def page_links(request: Request, path: str, query: Query, page: Page) -> dict[str, str]:
    """Return the links from a page at a path to itself and to its neighbours."""
    base = address(path)
    kept = [
        (name, value)
        for name, values in request.query_params.lists()
        for value in values
        if name not in {"cursor", "release"}
    ]
    kept.append(("release", str(query.release.number)))

    def link(cursor: str | None) -> str:
        return f"{base}?{urlencode([*kept, *([('cursor', cursor)] if cursor else [])])}"

    links = {"self": link(query.cursor)}
    if page.next_cursor:
        links["next"] = link(page.next_cursor)
    if page.previous_cursor:
        links["prev"] = link(page.previous_cursor)
    return links
