"""The place of a site that may be shown where it is: its coordinates, rounded."""

from decimal import ROUND_HALF_EVEN, Decimal
from math import ceil
from typing import Final

from portal.blurring.grid import latitude_e7, longitude_e7
from portal.blurring.places import EXACT, EXACT_LEVEL, PublicPlace
from portal.blurring.rules import GeneralisationRules
from portal.blurring.sites import PrivateSite

_STEP_DEG: Final = Decimal("0.00001")
_PROTOCOL = "Coordinates as recorded, rounded to 5 decimals; the uncertainty is that recorded."
_GENERALISED = "Coordinates rounded to 5 decimals."
_SHOWN = (
    "Names withheld; the exact place is shown with the permission of the people concerned, for as "
    "long as they give it."
)


def exact_place(site: PrivateSite, rules: GeneralisationRules) -> PublicPlace:
    """Return what is published of a site with permission for the exact place.

    Raises
    ------
    PositionError
        If the position is none.
    """
    latitude = _rounded(latitude_e7(site.latitude))
    longitude = _rounded(longitude_e7(site.longitude))
    recorded = site.uncertainty_m
    uncertainty_m = rules.unknown_uncertainty_m if recorded is None else recorded
    return PublicPlace(
        level=EXACT_LEVEL,
        cell=f"{EXACT}|{latitude!s}|{longitude!s}",
        latitude=latitude,
        longitude=longitude,
        # Rounding moves a point by 0.8 m at most, so that a metre always covers it.
        uncertainty_m=max(1, ceil(uncertainty_m)),
        precision_deg=_STEP_DEG,
        footprint_wkt="",
        georeference_protocol=_PROTOCOL,
        data_generalizations=_GENERALISED,
        information_withheld=_SHOWN,
    )


def _rounded(degrees_e7: int) -> Decimal:
    # Adding 0 turns -0.00000 into 0.00000.
    return Decimal(degrees_e7).scaleb(-7).quantize(_STEP_DEG, ROUND_HALF_EVEN) + 0
