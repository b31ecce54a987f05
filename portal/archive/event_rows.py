"""Rows of the event file: visits, their pits, and the extraction steps of a pit."""

from collections.abc import Iterator
from typing import Any

from portal.archive import addresses
from portal.archive.edition import Edition
from portal.archive.effort import pit_effort, step_effort, visit_effort
from portal.archive.profiles import NEWER
from portal.archive.reading import PitTree, StepTree, VisitTree
from portal.archive.values import date_parts
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit

Row = dict[str, Any]
PlacedRow = PublishedVisit | PublishedPit | PublishedCount
DATUM = "EPSG:4326"


def event_rows(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    """Yield a visit, then each of its pits followed by the steps that took place."""
    yield _visit(edition, visit.row)
    for pit in visit.pits:
        yield _pit(edition, pit)
        for step in pit.steps:
            if step.took_place:
                yield _step(edition, step)


def _visit(edition: Edition, row: PublishedVisit) -> Row:
    return _shared(edition, row) | {
        "eventID": addresses.permanent("visit", row.visit_id),
        "eventType": "siteVisit",
        "samplingProtocol": _protocol(edition, row),
        "samplingEffort": visit_effort(row),
        "modified": row.modified_at,
        "references": addresses.permanent("visit", row.visit_id),
    }


def _pit(edition: Edition, pit: PitTree) -> Row:
    row = pit.row
    return (
        _shared(edition, row)
        | _depth(row)
        | _area(row)
        | {
            "eventID": addresses.permanent("pit", row.pit_id),
            "parentEventID": addresses.permanent("visit", row.visit_id),
            "eventType": "soilPit",
            "habitat": row.habitat,
            "samplingProtocol": _protocol(edition, row),
            "samplingEffort": pit_effort(row),
            "modified": row.modified_at,
            "references": addresses.permanent("pit", row.pit_id),
        }
    )


def _step(edition: Edition, step: StepTree) -> Row:
    row = step.row
    method = edition.protocol(row.protocol).method(row.method)
    # What a drench drives out comes from below the floor of the pit, from an unknown depth.
    depth = _depth(row) if row.method == "hand_sort" else {}
    return (
        _shared(edition, row)
        | depth
        | _area(row)
        | {
            "eventID": addresses.permanent("phase", row.phase_id),
            "parentEventID": addresses.permanent("pit", row.pit_id),
            "eventType": "extractionPhase",
            "habitat": row.habitat,
            "samplingProtocol": f"{method} ({addresses.protocol(row.protocol)})",
            "samplingEffort": step_effort(row),
            "modified": max(count.modified_at for count in step.counts),
            "references": addresses.permanent("phase", row.phase_id),
        }
    )


def _protocol(edition: Edition, row: PlacedRow) -> str:
    title = edition.protocol(row.protocol).full_title
    return f"{title} ({addresses.protocol(row.protocol)})"


def _depth(row: PublishedPit | PublishedCount) -> Row:
    return {"minimumDepthInMeters": 0, "maximumDepthInMeters": metres(row.depth_cm)}


def metres(length_cm: float) -> float:
    """Return a length in metres; rounding hides the noise of binary fractions."""
    return round(length_cm / 100, 6)


def _area(row: PublishedPit | PublishedCount) -> Row:
    return {"sampleSizeValue": row.area_m2, "sampleSizeUnit": "square metre"}


def _shared(edition: Edition, row: PlacedRow) -> Row:
    year, month, day = date_parts(row.sampled_on)
    return (
        _place(row)
        | _newer_facts(edition, row)
        | {
            "eventDate": row.sampled_on,
            "year": year,
            "month": month,
            "day": day,
            "countryCode": row.country_code,
            "locationID": addresses.permanent("site", row.site_id),
            "license": edition.licence.legal_text,
            "rightsHolder": edition.rights_holder,
            "accessRights": addresses.terms_of_use(),
            "institutionCode": edition.publisher_code,
            "datasetID": addresses.dataset(),
            "datasetName": edition.release.title,
            "informationWithheld": row.information_withheld,
            "dataGeneralizations": row.data_generalizations,
            "type": "Event",
            "language": "en",
        }
    )


def _place(row: PlacedRow) -> Row:
    if row.cell_level == 0 or row.latitude is None:
        return {}
    return {
        "decimalLatitude": row.latitude,
        "decimalLongitude": row.longitude,
        "geodeticDatum": DATUM,
        "coordinateUncertaintyInMeters": row.uncertainty_m,
        "coordinatePrecision": row.precision_deg,
        "footprintWKT": row.footprint_wkt,
        "footprintSRS": DATUM if row.footprint_wkt else None,
        "georeferenceProtocol": row.georeference_protocol,
    }


def _newer_facts(edition: Edition, row: PlacedRow) -> Row:
    """Return what only the newer generation of the standard has a column for."""
    if edition.profile != NEWER:
        return {}
    shown = "footprint" if row.footprint_wkt else "point-radius"
    return {
        "eventCategory": "Survey",
        "sampledSubstrateCategory": "soil",
        "preferredSpatialRepresentation": shown if _place(row) else None,
    }
