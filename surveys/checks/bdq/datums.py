"""Geodetic datums: codes from the EPSG data set that pyproj carries, and names people write."""

import re
from functools import cache

from pyproj import CRS
from pyproj.database import get_codes
from pyproj.enums import PJType

NOT_RECORDED = "not recorded"
CODE = re.compile(r"EPSG:([0-9]{1,6})")
DATUM_TYPES = (
    PJType.GEODETIC_REFERENCE_FRAME,
    PJType.DYNAMIC_GEODETIC_REFERENCE_FRAME,
    PJType.ELLIPSOID,
)
# geographic systems by the names of their datums (EPSG data set); letters and digits only
NAMES = {
    "wgs84": "EPSG:4326",
    "wgs1984": "EPSG:4326",
    "worldgeodeticsystem1984": "EPSG:4326",
    "wgs72": "EPSG:4322",
    "etrs89": "EPSG:4258",
    "ed50": "EPSG:4230",
    "osgb36": "EPSG:4277",
    "osgb1936": "EPSG:4277",
    "nad27": "EPSG:4267",
    "northamericandatum1927": "EPSG:4267",
    "nad83": "EPSG:4269",
    "northamericandatum1983": "EPSG:4269",
    "agd66": "EPSG:4202",
    "agd84": "EPSG:4203",
    "gda94": "EPSG:4283",
    "gda2020": "EPSG:7844",
    "nzgd49": "EPSG:4272",
    "nzgd2000": "EPSG:4167",
    "sad69": "EPSG:4618",
    "sirgas2000": "EPSG:4674",
}


@cache
def is_standard(value: str) -> bool:
    """Tell whether a value is a code of a datum, ellipsoid or 2-D geographic system in degrees."""
    match = CODE.fullmatch(value)
    return match is not None and (
        any(match[1] in _codes(kind) for kind in DATUM_TYPES) or is_geographic(value)
    )


@cache
def is_geographic(value: str) -> bool:
    """Tell whether a value is the code of a two-dimensional geographic system in degrees."""
    match = CODE.fullmatch(value)
    if match is None or match[1] not in _codes(PJType.GEOGRAPHIC_2D_CRS):
        return False
    return all(axis.unit_name.startswith("degree") for axis in CRS(value).axis_info)


@cache
def _codes(kind: PJType) -> frozenset[str]:
    return frozenset(get_codes("EPSG", kind, allow_deprecated=True))


def code_meant(value: str) -> str | None:
    """Return the code for an unambiguous name or a code in another case; never another datum."""
    upper = re.sub(r"\s+", "", value.upper())
    if is_standard(upper):
        return upper
    return NAMES.get(re.sub(r"[\W_]+", "", value.casefold()))
