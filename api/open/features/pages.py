"""The small pages of the face: what a document says, laid out in tables."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string

from api.links import address
from api.open.features.collections import Collection
from portal.records.models import Release

Body = Mapping[str, Any]


@dataclass(frozen=True)
class Sheet:
    """How a resource is shown as a page, and whether it tells the time of its answer."""

    template: str
    collection: Collection | None = None
    carries_time: bool = False


def page(sheet: Sheet, release: Release, body: Body, **addresses: str) -> str:
    """Return a page."""
    context = {
        "body": body,
        "release": release,
        "dataset": settings.DATASET,
        "collection": sheet.collection,
        **addresses,
    }
    if sheet.collection is not None and body["type"] in _LAID_OUT:
        context |= _LAID_OUT[body["type"]](sheet.collection, release, body)
    return render_to_string(f"features/{sheet.template}", context)


def _many(collection: Collection, release: Release, body: Body) -> dict[str, Any]:
    shown = [field for field in collection.fields if field.name in collection.shown]
    base = address(f"/features/collections/{collection.id}/items")
    rows = [
        {
            "id": feature["id"],
            "href": f"{base}/{feature['id']}?release={release.number}",
            "cells": [feature["properties"][field.name] for field in shown],
        }
        for feature in body["features"]
    ]
    neighbours = {one["rel"]: one["href"] for one in body["links"]}
    return {"columns": shown, "rows": rows, "neighbours": neighbours}


def _one(collection: Collection, release: Release, body: Body) -> dict[str, Any]:
    del release
    told = body["properties"]
    return {"values": [(field, told[field.name]) for field in collection.fields]}


_LAID_OUT = {"FeatureCollection": _many, "Feature": _one}
