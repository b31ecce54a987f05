"""Permanent addresses: they lead to a record for ever, or say that it was withdrawn."""

from dataclasses import dataclass
from uuid import UUID

from django.db.models import F
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


@dataclass(frozen=True)
class Place:
    """Where records of a kind are read: of which rows, by which of their columns, under which path.

    The path is filled in with the record's id and with the id of the pit of a counted line.
    """

    collection: str
    column: str
    path: str


RECORDS = {kind: Place(name, "id", f"/api/v1/{name}/{{id}}?") for name, kind in KINDS.items()} | {
    # They have a permanent address but no record of their own: the rows that name them.
    "site": Place("visits", "site_id", "/api/v1/visits?site_id={id}&"),
    "phase": Place("counts", "phase_id", "/api/v1/counts?phase_id={id}&"),
}
ITEMS = "/features/collections/{}/items"
# A counted line is read on the page of its pit: a zero beside finds is no feature of its own.
PIT_PAGE = ITEMS.format("pits") + "/{pit_id}?"
PAGES = {
    "visit": Place("visits", "id", ITEMS.format("visits") + "/{id}?"),
    "pit": Place("pits", "id", ITEMS.format("pits") + "/{id}?"),
    "site": Place("visits", "site_id", ITEMS.format("visits") + "?site_id={id}&"),
    "phase": Place("counts", "phase_id", PIT_PAGE),
    "occurrence": Place("counts", "id", PIT_PAGE),
}


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
    place = (PAGES if for_people else RECORDS).get(kind)
    if place is None:
        return None
    rows = TABLES[place.collection].objects.filter(**{place.column: record_id}, hidden=False)
    row = rows.order_by(F("until_release").desc(nulls_first=True)).values().first()
    if row is None:
        return None
    path = place.path.format(id=record_id, pit_id=row.get("pit_id"))
    closed = row["until_release"]
    return address(f"{path}release={closed - 1}" if closed else path[:-1])
