"""Rows as a GeoJSON feature collection (RFC 7946)."""

from collections.abc import Mapping, Sequence
from typing import Any

from portal.archive.geometry import as_geojson, box_around, place_of

# How exact a place is stands beside each geometry, whichever fields were asked for.
PRECISION: dict[str, tuple[str, ...]] = {
    "visits": ("cell_level", "uncertainty_m"),
    "pits": ("cell_level", "uncertainty_m"),
    "counts": ("cell_level", "uncertainty_m"),
    "occurrences": ("coordinateUncertaintyInMeters", "dataGeneralizations"),
}


def feature_collection(
    rows: Sequence[Any],
    properties: Sequence[Mapping[str, Any]],
    about: Mapping[str, Any],
    ids: Sequence[str] = (),
) -> dict[str, Any]:
    """Return rows as features, each with all its properties.

    Parameters
    ----------
    rows : sequence
        Published rows, which know their places.
    properties : sequence of mapping
        What is told of each row.
    about : mapping
        Members of the whole: links, paging and meta.
    ids : sequence of str
        The id of each feature; unless given, its first property.
    """
    places = [place_of(row.footprint_wkt, row.longitude, row.latitude) for row in rows]
    box = box_around(places)
    named = ids or [next(iter(told.values())) for told in properties]
    features = [
        {
            "type": "Feature",
            "id": feature_id,
            "geometry": as_geojson(place),
            "properties": told,
        }
        for place, told, feature_id in zip(places, properties, named, strict=True)
    ]
    return {
        "type": "FeatureCollection",
        **({} if box is None else {"bbox": list(box)}),
        "features": features,
        **about,
    }


def with_precision(collection: str, names: Sequence[str], known: Sequence[str]) -> list[str]:
    """Return the names of fields together with those that say how exact a place is."""
    return [name for name in known if name in names or name in PRECISION[collection]]
