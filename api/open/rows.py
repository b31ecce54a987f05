"""Published rows as the flat objects that are answered."""

from collections.abc import Sequence
from typing import Any

from portal.archive import addresses
from portal.archive.edition import Edition
from portal.archive.occurrence_rows import occurrence_row
from portal.records.fields import field_names
from portal.records.models import PublishedCount

OCCURRENCE_FIELDS = (
    "occurrenceID",
    "eventID",
    "basisOfRecord",
    "occurrenceStatus",
    "individualCount",
    "organismQuantity",
    "organismQuantityType",
    "lifeStage",
    "scientificName",
    "taxonRank",
    "kingdom",
    "phylum",
    "class",
    "family",
    "genus",
    "vernacularName",
    "verbatimIdentification",
    "identificationVerificationStatus",
    "recordedBy",
    "dynamicProperties",
    "eventDate",
    "habitat",
    "samplingProtocol",
    "sampleSizeValue",
    "sampleSizeUnit",
    "countryCode",
    "locationID",
    "decimalLatitude",
    "decimalLongitude",
    "geodeticDatum",
    "coordinateUncertaintyInMeters",
    "dataGeneralizations",
    "informationWithheld",
    "license",
    "rightsHolder",
)
COLLECTION_FIELDS: dict[str, Sequence[str]] = {
    "visits": field_names("visits"),
    "pits": field_names("pits"),
    "counts": field_names("counts"),
    "occurrences": OCCURRENCE_FIELDS,
}


def plain_row(row: Any, names: Sequence[str]) -> dict[str, Any]:
    """Return the named public columns of a row."""
    return {name: _plain(getattr(row, name)) for name in names}


def darwin_core_row(row: PublishedCount, edition: Edition, names: Sequence[str]) -> dict[str, Any]:
    """Return the named Darwin Core terms of a counted line."""
    located = row.latitude is not None
    terms = occurrence_row(edition, row) | {
        "eventDate": row.sampled_on,
        "habitat": row.habitat,
        "samplingProtocol": edition.protocol(row.protocol).title,
        "sampleSizeValue": row.area_m2,
        "sampleSizeUnit": "square metre",
        "countryCode": row.country_code,
        "locationID": addresses.permanent("site", row.site_id),
        "decimalLatitude": row.latitude,
        "decimalLongitude": row.longitude,
        "geodeticDatum": "EPSG:4326" if located else None,
        "coordinateUncertaintyInMeters": row.uncertainty_m,
        "dataGeneralizations": row.data_generalizations,
        "informationWithheld": row.information_withheld,
        "license": edition.licence.legal_text,
        "rightsHolder": edition.rights_holder,
    }
    return {name: terms[name] if terms[name] != "" else None for name in names}


def _plain(value: Any) -> Any:
    return str(value) if hasattr(value, "hex") and not isinstance(value, float | int) else value
