"""What the answers about a snapshot carry: facts, links, headers, cursors."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any
from urllib.parse import urlencode

from django.core import signing
from django.http import QueryDict

from api.errors import Problem
from api.links import address
from api.open.answers import AnswerT, dressed, entity_tag, meta
from api.parameters import DEFAULT_LIMIT
from portal.archive.values import instant
from portal.records.models import Tombstone
from portal.records.queries import newest_entry
from portal.snapshots.citing import cited
from portal.snapshots.models import Snapshot
from portal.snapshots.queries import Standing, standing_of

CHECKSUM_OF = (
    "All rows as NDJSON in UTF-8, in the order of sort and id, one compact JSON object and a line "
    "feed (LF) a row: the very bytes of links.ndjson on the day of freezing. Told while every row "
    "stands; later it would give a withdrawn row back. Whoever kept the file leaves out the lines "
    "of rows that are gone, and compares it with links.check."
)
_SALT = "api.snapshot"


def described(snapshot: Snapshot, first: int = 0, size: int = DEFAULT_LIMIT) -> dict[str, Any]:
    """Return all that is told of a snapshot, with so many of its withdrawn rows from a place."""
    work = cited(snapshot)
    data = {
        "id": snapshot.id,
        "page": snapshot.page,
        "query": snapshot.query,
        "release": snapshot.release_id,
        "collection": snapshot.collection,
        "fields": snapshot.fields,
        "sort": snapshot.sort,
        "rows": snapshot.rows,
        "size_bytes": work.content.size_bytes if work.content else None,
        "sha256": work.content.sha256 if work.content else None,
        "sha256_of": CHECKSUM_OF,
        "created_at": instant(snapshot.created_at),
        "citation": work.citation,
        "groups": list(work.groups),
        "other_groups": work.has_other_groups,
        "license": {"id": snapshot.release.licence_id, "url": snapshot.release.licence_url},
        "state": _state(snapshot, first, size),
    }
    links = links_of(snapshot)
    if first + size < data["state"]["withdrawn"]:
        links["next"] = _address_at(snapshot.record, [], snapshot, "withdrawn", first + size, size)
    return {"data": data, "links": links, "meta": meta_of(snapshot)}


def _state(snapshot: Snapshot, first: int, size: int) -> dict[str, Any]:
    standing = standing_of(snapshot)
    listed = standing.withdrawn[first : first + size]
    stones = Tombstone.objects.in_bulk(listed)
    return {
        "verdict": _verdict(standing),
        "rows_now": snapshot.rows - len(standing.withdrawn) - standing.not_shown,
        "withdrawn": len(standing.withdrawn),
        "withdrawn_rows": [
            {
                "id": str(record),
                "withdrawn_on": stones[record].withdrawn_on.isoformat(),
                "reason_class": stones[record].reason_class,
            }
            for record in listed
        ],
        "not_shown": standing.not_shown,
        "retold": standing.retold,
    }


def _verdict(standing: Standing) -> str:
    if standing.is_whole:
        return "unchanged"
    return "rows-missing" if standing.withdrawn or standing.not_shown else "rows-retold"


def links_of(snapshot: Snapshot) -> dict[str, str]:
    """Return where a snapshot leads."""
    rows = f"{snapshot.record}/rows"
    return {
        "self": snapshot.record,
        "page": snapshot.page,
        "rows": rows,
        "geojson": f"{rows}?f=geojson",
        **{form: f"{rows}?f={form}&limit=all" for form in ("csv", "ndjson", "parquet")},
        "check": f"{snapshot.record}/check",
        "citation": f"{snapshot.record}/citation",
        "query": address(snapshot.query),
        "release": snapshot.release.page,
    }


def meta_of(snapshot: Snapshot) -> dict[str, Any]:
    """Return the members that say what was answered and how to cite it."""
    told = meta(snapshot.release, snapshot.query)
    return told | {"citation": cited(snapshot).citation, "snapshot": snapshot.page}


def snapshot_tag(snapshot: Snapshot, *asked: object) -> str:
    """Return the ETag of an answer; it moves with each entry of the feed of changes."""
    about = {"snapshot": snapshot.id, "entry": newest_entry(), "asked": asked}
    return entity_tag(snapshot.release, snapshot.query, **about)


def with_headers(
    answer: AnswerT,
    snapshot: Snapshot,
    etag: str,
    links: Mapping[str, str] = MappingProxyType({}),
) -> AnswerT:
    """Add the headers of an open answer; what is to be cited is the snapshot."""
    relations = {"cite-as": snapshot.page, "collection": snapshot.record, **links}
    return dressed(answer, snapshot.release, etag, relations)


def page_links(snapshot: Snapshot, parameters: QueryDict, first: int, size: int) -> dict[str, str]:
    """Return the links of a page of rows."""
    kept = [(name, str(parameters[name])) for name in ("f", "bom") if name in parameters]

    def at(place: int) -> str:
        return _address_at(f"{snapshot.record}/rows", kept, snapshot, "rows", place, size)

    links = {"self": at(first)}
    if first + size < snapshot.rows:
        links["next"] = at(first + size)
    if first > 0:
        links["prev"] = at(max(0, first - size))
    return links


def position_of(cursor: str | None, snapshot: Snapshot, of: str) -> int:
    """Return the place in the order that a cursor stands for; without one, the first.

    Raises
    ------
    Problem
        If it is not ours, or another snapshot's.
    """
    if cursor is None:
        return 0
    try:
        made_for, list_name, place = signing.Signer(salt=_SALT).unsign_object(cursor)
    except (signing.BadSignature, ValueError, TypeError) as error:
        code = "cursor-invalid"
        raise Problem(code) from error
    if (made_for, list_name) != (snapshot.id, of):
        code = "cursor-mismatch"
        raise Problem(code)
    return int(place)


def _address_at(
    base: str, kept: list[tuple[str, str]], snapshot: Snapshot, of: str, place: int, size: int
) -> str:
    parameters = [*kept, ("limit", str(size))]
    if place:
        signer = signing.Signer(salt=_SALT)
        parameters.append(("cursor", signer.sign_object([snapshot.id, of, place])))
    return f"{base}?{urlencode(parameters)}"
