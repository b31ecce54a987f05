"""Checks 11 to 16, events: dates, places, sizes, notices, rights; and what must never be there."""

import re
from decimal import Decimal

import pytest
import shapely
from pyproj import Geod

from tests.conformance.conftest import PLANTED_REMARK, Written
from tests.conformance.reading import Archive, members_of

LEGAL_TEXT = "http://creativecommons.org/licenses/by/4.0/legalcode"  # dcterms:license, TDWG example

# Place and person columns that a generalised, anonymous row must not have (our mapping, 3).
FORBIDDEN = {
    "verbatimCoordinates", "verbatimLatitude", "verbatimLongitude", "verbatimCoordinateSystem",
    "verbatimSRS", "verbatimLocality", "verbatimElevation", "verbatimDepth", "verbatimEventDate",
    "verbatimLabel", "fieldNumber", "fieldNotes", "recordNumber", "siteNumber", "locality",
    "locationRemarks", "eventRemarks", "minimumElevationInMeters", "maximumElevationInMeters",
    "higherGeography", "county", "municipality", "georeferencedBy", "georeferenceSources",
    "associatedMedia", "otherCatalogNumbers", "eventTime", "footprintSpatialFit",
    "pointRadiusSpatialFit", "verbatimSiteNames", "verbatimSiteDescriptions",
    "geospatialScopeAreaValue", "geospatialScopeAreaUnit",
}  # fmt: skip


def placed(archive: Archive) -> list[dict[str, str]]:
    return [event for event in archive["event"] if event["decimalLatitude"]]


def corners(event: dict[str, str]) -> list[tuple[Decimal, Decimal]]:
    numbers = [Decimal(number) for number in re.findall(r"-?[0-9.]+", event["footprintWKT"])]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def test_dates_are_iso_and_agree_with_their_parts(archive: Archive) -> None:
    for event in archive["event"]:
        assert re.fullmatch(r"\d{4}-\d{2}(-\d{2})?", event["eventDate"])
        parts = [event["year"], event["month"], event["day"]]
        told = [part for part in parts if part]
        assert [int(part) for part in told] == [int(n) for n in event["eventDate"].split("-")]


def test_dates_are_not_after_the_release(archive: Archive, written: Written) -> None:
    released_on = written.small.release.issued_at.date().isoformat()

    assert max(event["eventDate"] for event in archive["event"]) <= released_on


def test_dates_of_parents_cover_their_children(archive: Archive) -> None:
    dates = {event["eventID"]: event["eventDate"] for event in archive["event"]}

    for event in archive["event"]:
        if event["parentEventID"]:
            assert event["eventDate"].startswith(dates[event["parentEventID"]])


def test_coarsened_date_is_a_month_without_a_day(archive: Archive) -> None:
    coarse = {event["eventDate"] for event in archive["event"] if not event["day"]}

    assert coarse == {"2025-03"}


def test_coordinates_are_complete_or_absent(archive: Archive) -> None:
    columns = [
        "decimalLatitude", "decimalLongitude", "geodeticDatum", "coordinateUncertaintyInMeters",
        "coordinatePrecision", "footprintWKT", "footprintSRS", "georeferenceProtocol",
    ]  # fmt: skip

    filled = {tuple(bool(event[column]) for column in columns) for event in archive["event"]}

    assert filled == {(True,) * len(columns), (False,) * len(columns)}


def test_coordinates_are_on_the_globe_in_a_known_datum(archive: Archive) -> None:
    for event in placed(archive):
        latitude, longitude = Decimal(event["decimalLatitude"]), Decimal(event["decimalLongitude"])
        assert -90 <= latitude <= 90
        assert -180 <= longitude <= 180
        assert (latitude, longitude) != (0, 0)
        assert event["geodeticDatum"] == event["footprintSRS"] == "EPSG:4326"


def test_coordinates_have_no_more_decimals_than_the_cell_justifies(archive: Archive) -> None:
    for event in placed(archive):
        step = Decimal(event["coordinatePrecision"])
        half_steps = [
            Decimal(event[f"decimal{axis}"]) / (step / 2) for axis in ("Latitude", "Longitude")
        ]
        assert all(number == number.to_integral_value() for number in half_steps)


def test_coordinates_are_the_centre_of_a_closed_outline(archive: Archive) -> None:
    for event in placed(archive):
        ring = corners(event)
        west, south = ring[0]
        step = Decimal(event["coordinatePrecision"])
        assert event["footprintWKT"].startswith("POLYGON ((")
        assert ring[0] == ring[-1]
        assert len(ring) == 5
        assert {(east - west, north - south) for east, north in ring} == {
            (0, 0), (step, 0), (step, step), (0, step)
        }  # fmt: skip
        assert Decimal(event["decimalLongitude"]) == west + step / 2
        assert Decimal(event["decimalLatitude"]) == south + step / 2


def test_outline_is_a_valid_polygon_around_its_centre(form: Archive) -> None:
    kind = "event" if "event" in form.tables else "occurrence"
    places = {
        (row["footprintWKT"], row["decimalLongitude"], row["decimalLatitude"], row["footprintSRS"])
        for row in form[kind]
        if row["footprintWKT"]
    }

    assert places
    for outline, longitude, latitude, reference_system in places:
        polygon = shapely.from_wkt(outline)  # shapely, GEOS
        centre = shapely.Point(float(longitude), float(latitude))
        west, south, east, north = polygon.bounds
        assert polygon.is_valid
        assert polygon.exterior.is_closed
        assert polygon.contains(centre)
        assert polygon.centroid.distance(centre) < 1e-9
        assert -180 <= west < east <= 180
        assert -90 <= south < north <= 90
        assert reference_system == "EPSG:4326"


def test_outline_has_longitude_first(archive: Archive) -> None:
    # The garden of the factories lies in the cell 0.01|52.88|-0.72: no longitude is beyond 2.
    for event in placed(archive):
        west, south, east, north = shapely.from_wkt(event["footprintWKT"]).bounds
        assert -2 < west < east < 2
        assert 50 < south < north < 60


def test_uncertainty_reaches_the_farthest_corner(archive: Archive) -> None:
    wgs84 = Geod(ellps="WGS84")  # pyproj, geodesic on the ellipsoid

    for event in placed(archive):
        longitude, latitude = float(event["decimalLongitude"]), float(event["decimalLatitude"])
        farthest_m = max(
            wgs84.inv(longitude, latitude, float(east), float(north))[2]
            for east, north in corners(event)
        )
        assert event["coordinateUncertaintyInMeters"].isdigit()
        assert int(event["coordinateUncertaintyInMeters"]) >= farthest_m


def test_events_of_a_site_share_one_place(archive: Archive) -> None:
    columns = ["decimalLatitude", "decimalLongitude", "coordinateUncertaintyInMeters"]
    places: dict[str, set[tuple[str, ...]]] = {}
    for event in archive["event"]:
        place = tuple(event[column] for column in columns)
        places.setdefault(event["locationID"], set()).add(place)

    assert {len(found) for found in places.values()} == {1}
    assert len(places) == 4


@pytest.mark.parametrize("name", ["archive.zip", "flat-archive.zip", "data-package.zip"])
def test_place_that_is_not_shown_has_no_coordinates_anywhere(written: Written, name: str) -> None:
    everything = b"\n".join(members_of(written.files[name]).values()).decode()

    assert "52.1234567" not in everything
    assert "0.7654321" not in everything


def test_size_and_its_unit_come_together(archive: Archive) -> None:
    sizes = {
        (event["eventType"], event["sampleSizeValue"], event["sampleSizeUnit"])
        for event in archive["event"]
    }

    assert sizes == {
        ("siteVisit", "", ""),
        ("soilPit", "0.04", "square metre"),
        ("soilPit", "0.0625", "square metre"),
        ("extractionPhase", "0.04", "square metre"),
        ("extractionPhase", "0.0625", "square metre"),
    }


def test_depths_come_together_from_the_surface_down(archive: Archive) -> None:
    depths = {
        (event["minimumDepthInMeters"], event["maximumDepthInMeters"]) for event in archive["event"]
    }

    assert depths == {("", ""), ("0", "0.2"), ("0", "0.29")}


def test_country_is_a_code_of_two_letters_or_empty(archive: Archive) -> None:
    codes = {event["countryCode"] for event in archive["event"]}

    assert codes == {"GB", ""}  # ISO 3166-1 alpha-2


def test_notices_say_what_was_done_to_places(archive: Archive) -> None:
    # No event here is shown exactly and by name: each is blurred or withheld, so each says so.
    for event in archive["event"]:
        assert event["informationWithheld"]
        assert event["dataGeneralizations"]


def test_notices_are_those_of_the_published_row_alone(archive: Archive, written: Written) -> None:
    notices = {
        f"https://data.example.org/id/visit/{visit.visit_id}": (
            visit.information_withheld,
            visit.data_generalizations,
        )
        for visit in written.small.visits
    }

    told = {
        event["eventID"]: (event["informationWithheld"], event["dataGeneralizations"])
        for event in archive.events("siteVisit")
    }

    assert told == notices
    assert len(set(notices.values())) > 1


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("license", LEGAL_TEXT),
        ("rightsHolder", "Example Soil Survey Consortium"),
        ("institutionCode", "ESSC"),
        ("datasetID", "https://data.example.org/dataset"),
        ("datasetName", "Soil animals of paired pits"),
        ("type", "Event"),
        ("language", "en"),
    ],
)
def test_column_is_the_same_in_every_event(archive: Archive, column: str, value: str) -> None:
    assert {event[column] for event in archive["event"]} == {value}


def test_modified_is_an_instant_in_utc(archive: Archive) -> None:
    instants = {event["modified"] for event in archive["event"]}

    assert instants == {"2025-06-30T09:00:00Z"}


def test_references_lead_to_the_public_record(archive: Archive) -> None:
    assert all(event["references"] == event["eventID"] for event in archive["event"])


def test_no_table_has_a_column_that_could_give_a_place_or_person_away(form: Archive) -> None:
    for rows in form.tables.values():
        assert FORBIDDEN.isdisjoint(rows[0])


@pytest.mark.parametrize("name", ["archive.zip", "flat-archive.zip", "data-package.zip"])
def test_planted_remarks_leave_nowhere(written: Written, name: str) -> None:
    everything = b"\n".join(members_of(written.files[name]).values()).decode()

    assert any(
        visit.remarks == visit.group_code == PLANTED_REMARK for visit in written.small.visits
    )
    assert PLANTED_REMARK not in everything
