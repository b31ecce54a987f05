"""Published rows as the flat objects that are answered."""

from collections.abc import Callable, Sequence
from typing import Any

from portal.archive import addresses
from portal.archive.edition import Edition, edition_of
from portal.archive.occurrence_rows import occurrence_row
from portal.records.documents import plain_row
from portal.records.fields import FIELDS, Field
from portal.records.models import PublishedCount, Release
from portal.records.occurrence_fields import OCCURRENCE_FIELDS

DICTIONARY: dict[str, tuple[Field, ...]] = {**FIELDS, "occurrences": OCCURRENCE_FIELDS}
COLLECTION_FIELDS: dict[str, Sequence[str]] = {
    name: [field.name for field in fields] for name, fields in DICTIONARY.items()
}


def row_writer(
    release: Release, collection: str, names: Sequence[str]
) -> Callable[[Any], dict[str, Any]]:
    """Return what turns a published row of a collection into the named values."""
    if collection != "occurrences":
        return lambda row: plain_row(row, names)
    edition = edition_of(release)
    return lambda row: darwin_core_row(row, edition, names)


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
