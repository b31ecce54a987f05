"""Positions of another geodetic datum become positions of WGS 84, and carry what that costs."""

from decimal import Decimal
from typing import Final

from surveys.intake.payload import STORED_PLACES, PitIn, SiteIn, VisitIn

WGS84: Final = "EPSG:4326"
UNKNOWN: Final = "unknown"
# Chapman & Wieczorek 2020, Georeferencing Best Practices, doi:10.15468/doc-gg7h-s853: the worst
# case of an unknown datum [m].
WORST_CASE_M: Final = 5359
UNRECORDED_M: Final = 100  # assumed where no uncertainty was recorded, as in the rules


class DatumUnusable(Exception):  # noqa: N818 -- reads as what happened
    """A datum that is no geographic one of the EPSG data set, or doesn't reach the position."""


def in_wgs84(visit: VisitIn) -> VisitIn:
    """Return a visit with its positions in WGS 84; its datum is then said to be that.

    Raises
    ------
    DatumUnusable
        If the datum is not known, or not one of latitude and longitude.
    """
    datum = visit.site.datum
    if datum == WGS84:
        return visit
    site = _unsure(visit.site) if datum == UNKNOWN else _moved(visit.site, datum)
    pits = visit.pits if datum == UNKNOWN else [_pit(pit, datum) for pit in visit.pits]
    return visit.model_copy(update={"site": site, "pits": pits})


def to_wgs84(latitude: Decimal, longitude: Decimal, datum: str) -> tuple[Decimal, Decimal, float]:
    """Return latitude and longitude in WGS 84, and the error of the transformation [m].

    The error is that of the operation in the EPSG data set; where there is none for the place, the
    worst case of an unknown datum.

    Raises
    ------
    DatumUnusable
        If the datum is not known, or not one of latitude and longitude.
    """
    from pyproj import CRS, Transformer  # noqa: PLC0415 -- slow to import, and seldom needed
    from pyproj.exceptions import CRSError, ProjError  # noqa: PLC0415 -- the same

    message = f"{datum} is no geographic datum of latitude and longitude."
    try:
        crs = CRS(datum)
    except CRSError as error:
        raise DatumUnusable(message) from error
    if not crs.is_geographic or len(crs.axis_info) > 2:  # noqa: PLR2004 -- no height
        raise DatumUnusable(message)
    transformer = Transformer.from_crs(crs, WGS84, always_xy=True)
    east, north = transformer.transform(float(longitude), float(latitude))
    try:
        accuracy_m = transformer.get_last_used_operation().accuracy
    except ProjError:  # nothing was to be done
        accuracy_m = transformer.accuracy
    error_m = accuracy_m if accuracy_m >= 0 else WORST_CASE_M
    return _degrees(north), _degrees(east), error_m


def _unsure(site: SiteIn) -> SiteIn:
    # Satellite receivers give WGS 84; only who set a point on a map can have had another.
    error_m = WORST_CASE_M if site.placed_by_hand else 0
    return site.model_copy(update={"datum": WGS84, "uncertainty_m": _carrying(site, error_m)})


def _moved(site: SiteIn, datum: str) -> SiteIn:
    if site.latitude is None or site.longitude is None:
        return site.model_copy(update={"datum": WGS84})
    latitude, longitude, error_m = to_wgs84(site.latitude, site.longitude, datum)
    return site.model_copy(
        update={
            "datum": WGS84,
            "latitude": latitude,
            "longitude": longitude,
            "uncertainty_m": _carrying(site, error_m),
        }
    )


def _carrying(site: SiteIn, error_m: float) -> float | None:
    if not error_m:
        return site.uncertainty_m
    return (UNRECORDED_M if site.uncertainty_m is None else site.uncertainty_m) + error_m


def _pit(pit: PitIn, datum: str) -> PitIn:
    if pit.latitude is None or pit.longitude is None:
        return pit
    latitude, longitude, _ = to_wgs84(pit.latitude, pit.longitude, datum)
    return pit.model_copy(update={"latitude": latitude, "longitude": longitude})


def _degrees(value: float) -> Decimal:
    return round(Decimal(value), STORED_PLACES)
