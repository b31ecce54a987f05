"""Features of a collection: a page of them, and a single one."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.utils import timezone

from api.errors import Problem
from api.open.answers import meta
from api.open.features.calls import Call, link
from api.open.features.collections import Collection
from api.open.features.extent import remembered
from api.open.features.outlines import outlined
from api.open.features.properties import properties_writer
from api.open.formats import GEOJSON, JSON
from api.open.geojson import feature_collection
from api.open.pages import page_links, page_of
from api.open.parameters import Query
from api.open.views import chosen_rows, require_standing

Body = dict[str, Any]


def page_of_features(call: Call, collection: Collection, query: Query) -> Body:
    """Return a page of features with links and counts, which an empty one has as well.

    The number matched is exact, for clients trust it, and counted once for all pages of a query.
    """
    rows = chosen_rows(query)
    page = page_of(rows, query)
    matched = remembered(query.release, query.normalised(), rows.count)
    told = [*map(properties_writer(query.release, collection), page.rows)]
    about = {
        "links": [
            *call.own_links(),
            *_neighbours(page_links(call.request, call.path, query, page)),
            link("collection", call.to(f"/collections/{collection.id}"), JSON, collection.title),
        ],
        "timeStamp": f"{timezone.now():%Y-%m-%dT%H:%M:%SZ}",
        "numberMatched": matched,
        "numberReturned": len(page.rows),
        "meta": meta(query.release, query.normalised()),
    }
    places = [outlined(row) for row in page.rows]
    return feature_collection(places, told, about, [str(row.id) for row in page.rows])


def single_feature(call: Call, collection: Collection, query: Query, record_id: UUID) -> Body:
    """Return one feature of those that a query chooses.

    Raises
    ------
    Problem
        If it was withdrawn (410) or does not stand in the release (404).
    """
    require_standing(record_id)
    row = chosen_rows(query).filter(id=record_id).first()
    if row is None:
        code = "not-found"
        raise Problem(code)
    told = properties_writer(call.release, collection)(row)
    (feature,) = feature_collection([outlined(row)], [told], {}, [str(row.id)])["features"]
    links = [
        *call.own_links(),
        link("collection", call.to(f"/collections/{collection.id}"), JSON, collection.title),
    ]
    return {**feature, "links": links, "meta": meta(call.release, call.query())}


def _neighbours(links: Mapping[str, str]) -> list[dict[str, str]]:
    titles = {"next": "Next page", "prev": "Page before"}
    return [link(name, links[name], GEOJSON, titles[name]) for name in titles if name in links]
