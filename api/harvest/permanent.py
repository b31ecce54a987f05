"""Permanent addresses: they lead to a record for ever, or say that it was withdrawn."""

from uuid import UUID

from django.db.models import Max
from django.http import HttpResponse, HttpResponseRedirect
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request

from api.errors import Problem
from api.harvest.base import HarvestView, tombstone
from api.links import address
from api.negotiation import ViewChooses
from api.parameters import require_known
from api.schema import problems
from portal.records.models import Tombstone
from portal.records.queries import KINDS, TABLES

COLLECTION_OF = {kind: name for name, kind in KINDS.items()}
# Records with a page for people; a counted line may be no feature, as a zero beside finds is none.
WITH_PAGES = ("visit", "pit")
# What has a permanent address but no record of its own: the rows of that collection and column.
PARTS = {"site": ("visits", "site_id"), "phase": ("counts", "phase_id")}


class PermanentView(HarvestView):
    """A permanent address.

    What is hidden is not found, like what never was: 410 would say that there was something, and
    it may come back.
    """

    content_negotiation_class = ViewChooses

    @extend_schema(
        operation_id="follow_permanent_address",
        tags=["harvest"],
        summary="Where a record is read now; gone once it is withdrawn",
        description="The kind is visit, pit, phase, occurrence or site.",
        responses={
            303: OpenApiResponse(description="See the record."),
            **problems(400, 404, 410, 429),
        },
    )
    def get(self, request: Request, kind: str, record_id: UUID) -> HttpResponse:
        """Lead to the record, or say that it was withdrawn.

        Raises
        ------
        Problem
            If the id is unknown (404) or withdrawn (410).
        """
        require_known(request.query_params, [])
        stone = Tombstone.objects.filter(id=record_id, kind=kind).first()
        if stone is not None:
            code = "gone"
            raise Problem(code, **tombstone(stone))
        for_people = "text/html" in request.headers.get("Accept", "")
        where = _address_of(kind, record_id, for_people=for_people)
        if where is None:
            code = "not-found"
            raise Problem(code)
        response = HttpResponseRedirect(where, status=303)
        response["Cache-Control"] = "public, max-age=300"
        response["Vary"] = "Accept"
        return response


def _address_of(kind: str, record_id: UUID, *, for_people: bool) -> str | None:
    """Return where a record is read: now, or else in the last release that held it."""
    if for_people and kind in WITH_PAGES:
        collection, column = COLLECTION_OF[kind], "id"
        path = f"/features/collections/{collection}/items/{record_id}?"
    elif kind in COLLECTION_OF:
        collection, column = COLLECTION_OF[kind], "id"
        path = f"/api/v1/{collection}/{record_id}?"
    elif kind in PARTS:
        collection, column = PARTS[kind]
        path = f"/api/v1/{collection}?{column}={record_id}&"
    else:
        return None
    rows = TABLES[collection].objects.filter(**{column: record_id}, hidden=False)
    if rows.filter(until_release__isnull=True).exists():
        return address(path[:-1])
    closed = rows.aggregate(at=Max("until_release"))["at"]
    return address(f"{path}release={closed - 1}") if closed else None
