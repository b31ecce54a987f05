"""The feed of changes: every addition, change, removal and withdrawal, each exactly once."""

from typing import Any
from urllib.parse import urlencode

from django.conf import settings
from django.http import HttpResponse
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.harvest.base import HarvestView, instant, tombstone
from api.harvest.tokens import read_token, token_of
from api.links import address
from api.parameters import MAX_LIMIT, read_limit, require_only_json
from api.schema import json_body, problems
from portal.records.changes import Change, Position, read_feed
from portal.records.queries import current_release

FEED = "/api/v1/changes"
ITEM: dict[str, Any] = {
    "type": "object",
    "required": ["kind", "id", "change", "release", "at"],
    "properties": {
        "kind": {"type": "string", "enum": ["visit", "pit", "occurrence"]},
        "id": {"type": "string", "format": "uuid"},
        "change": {"type": "string", "enum": ["added", "changed", "removed", "withdrawn"]},
        "release": {
            "type": ["integer", "null"],
            "description": "The release that made the change; null if none did.",
        },
        "at": {"type": "string", "format": "date-time"},
        "withdrawn_on": {"type": "string", "format": "date", "description": "If withdrawn."},
        "reason_class": {"type": "string", "description": "If withdrawn."},
    },
}


class FeedView(HarvestView):
    """What changed since a harvester last asked."""

    @extend_schema(
        operation_id="list_changes",
        tags=["harvest"],
        summary="Every change since a token, in order and each exactly once",
        description=(
            "Without `since` the feed starts at the beginning. Follow `links.next` to the end, "
            "keep `meta.resume`, and come back with it as `since`; it never expires. Apply what "
            "is told in order: put what is added or changed, delete what is removed or "
            "withdrawn, even if you never had it. Withdrawals appear at once; what is withdrawn "
            "is told as nothing else any more."
        ),
        parameters=[
            OpenApiParameter("since", str, description="`meta.resume` of an earlier answer."),
            OpenApiParameter("limit", int, description=f"Changes of a page, at most {MAX_LIMIT}."),
            OpenApiParameter("f", str, enum=["json"]),
        ],
        responses={
            200: json_body(
                "Changes.",
                {
                    "data": {"type": "array", "items": ITEM},
                    "links": {
                        "type": "object",
                        "properties": {
                            "self": {"type": "string"},
                            "next": {"type": ["string", "null"]},
                        },
                    },
                    "page": {"type": "object", "properties": {"returned": {"type": "integer"}}},
                    "meta": {"type": "object", "properties": {"resume": {"type": "string"}}},
                },
            ),
            **problems(400, 429),
        },
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer a page of changes."""
        require_only_json(request.query_params, "since", "limit")
        since = request.query_params.get("since")
        limit = read_limit(request.query_params)
        page = read_feed(Position() if since is None else read_token(since), limit=limit)
        resume = token_of(page.position)
        following = _page_address(resume, limit) if page.more else None
        response = Response(
            {
                "data": [_item(change) for change in page.changes],
                "links": {"self": _page_address(since, limit), "next": following},
                "page": {"returned": len(page.changes)},
                "meta": {"resume": resume, **_terms()},
            }
        )
        # A withdrawal must not wait for a cache to expire.
        response["Cache-Control"] = "no-cache"
        if following is not None:
            response["Link"] = f'<{following}>; rel="next"'
        return response


def _page_address(since: str | None, limit: int) -> str:
    asked = {"limit": str(limit)} if since is None else {"since": since, "limit": str(limit)}
    return address(f"{FEED}?{urlencode(asked)}")


def _item(change: Change) -> dict[str, Any]:
    item = {
        "kind": change.kind,
        "id": str(change.id),
        "change": change.change,
        "release": change.entry.release_id,
        "at": instant(change.entry.at),
    }
    return item if change.stone is None else tombstone(change.stone) | item


def _terms() -> dict[str, Any]:
    """Return licence and citation of the current release, if there is one."""
    release = current_release()
    if release is None:
        return {"release": None, "license": None, "citation": None}
    return {
        "release": release.number,
        "license": {"id": release.licence_id, "url": release.licence_url},
        "citation": release.citation,
        "notice": settings.DATASET["notice"],
    }
