"""The page of a snapshot."""

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from portal.catalogue.schema_org import script_text, snapshot_json_ld
from portal.pages.relations import snapshot_links
from portal.records.models import Tombstone
from portal.snapshots.citing import cited
from portal.snapshots.models import Snapshot
from portal.snapshots.queries import Standing, standing_of

SHOWN = 50  # withdrawn rows on the page; the API lists all


def snapshot(request: HttpRequest, snapshot_id: str) -> HttpResponse:
    """Show a snapshot: what it holds, how to cite it, what became of its rows.

    Raises
    ------
    Http404
        If there is no such snapshot.
    """
    found = Snapshot.objects.select_related("release").filter(pk=snapshot_id).first()
    if found is None:
        msg = "No such snapshot."
        raise Http404(msg)
    work, standing = cited(found), standing_of(found)
    context = {
        "snapshot": found,
        "work": work,
        "standing": standing,
        "withdrawn": _withdrawn(standing),
        "release": found.release,
        "json_ld": script_text(snapshot_json_ld(work)),
        "dataset": settings.DATASET,
    }
    response = render(request, "pages/snapshot.html", context)
    response["Link"] = snapshot_links(work)
    return response


def _withdrawn(standing: Standing) -> list[Tombstone]:
    stones = Tombstone.objects.in_bulk(standing.withdrawn[:SHOWN])
    return [stones[record] for record in standing.withdrawn[:SHOWN]]
