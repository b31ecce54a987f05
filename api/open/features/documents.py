"""The documents that lead to the features: landing page, conformance, collections."""

from typing import Any

from django.conf import settings

from api.open.answers import meta
from api.open.features.calls import HTML, Call, in_form, link
from api.open.features.collections import COLLECTIONS, Collection
from api.open.features.definition import JSON_SCHEMA, OPENAPI
from api.open.features.extent import CRS84, extent
from api.open.formats import GEOJSON, JSON

CONFORMS_TO = tuple(
    f"http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/{name}"
    for name in ("core", "oas30", "html", "geojson")
)
Body = dict[str, Any]


def landing(call: Call) -> Body:
    """Return the way in."""
    definition = call.to("/api")
    return {
        "title": settings.DATASET["name"],
        "description": (
            f"Release {call.release.number} as features: visits, pits and occurrences, each with "
            "its published grid cell."
        ),
        "links": [
            *call.own_links(),
            link("service-desc", definition, OPENAPI, "Definition (OpenAPI 3.0)"),
            link("service-doc", in_form(definition, "html"), HTML, "Description"),
            link("conformance", call.to("/conformance"), JSON, "Parts of the standard"),
            link("data", call.to("/collections"), JSON, "Collections"),
        ],
        "meta": meta(call.release, call.query()),
    }


def conformance(call: Call) -> Body:
    """Return the parts of the standard that hold here."""
    return {
        "conformsTo": list(CONFORMS_TO),
        "links": call.own_links(),
        "meta": meta(call.release, call.query()),
    }


def collections(call: Call) -> Body:
    """Return all collections."""
    return {
        "links": call.own_links(),
        "collections": [_described(call, one) for one in COLLECTIONS.values()],
        "meta": meta(call.release, call.query()),
    }


def collection(call: Call, found: Collection) -> Body:
    """Return one collection."""
    described = _described(call, found)
    links = [*call.own_links(), *(one for one in described["links"] if one["rel"] != "self")]
    return {**described, "links": links, "meta": meta(call.release, call.query())}


def _described(call: Call, found: Collection) -> Body:
    here = f"/collections/{found.id}"
    items = call.to(f"{here}/items")
    return {
        "id": found.id,
        "title": found.title,
        "description": found.description,
        "itemType": "feature",
        "extent": extent(call.release),
        "crs": [CRS84],
        "links": [
            link("self", call.to(here), JSON, found.title),
            link("items", items, GEOJSON, f"{found.title} as GeoJSON"),
            link("items", in_form(items, "html"), HTML, f"{found.title} as a page"),
            link("describedby", call.to(f"{here}/schema"), JSON_SCHEMA, "Schema of a feature"),
            link("license", call.release.licence_url, HTML, call.release.licence_id),
        ],
    }
