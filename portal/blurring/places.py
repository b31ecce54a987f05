"""What is published of a place: the grid cell and fixed sentences, nothing of the true place."""

from dataclasses import dataclass
from decimal import Decimal
from functools import cache, lru_cache
from math import ceil
from typing import TYPE_CHECKING, Final

from portal.blurring.grid import (
    ALLOWANCES_M,
    FINEST_LEVEL,
    ROOT,
    STEPS_DEG,
    cell_from_name,
    cell_name,
    edges,
    level_of,
    row_of,
)

if TYPE_CHECKING:
    from pyproj import Geod

FOOTPRINT_SRS: Final = "EPSG:4326"
EXACT_LEVEL: Final = FINEST_LEVEL + 1  # shown where it is; by permission only
EXACT: Final = "exact"  # begins what stands in place of the name of a cell

# One wording for all sites of a level: a reason of its own for a site would be a hint.
_PROTOCOL = (
    "Centre and outline of the published cell of a {step} degree grid. The uncertainty is the "
    "distance from the centre to the farthest corner plus {allowance} m for the error of the "
    "device, rounded up."
)
_GENERALISED = (
    "Coordinates replaced by the centre of a {step} x {step} degree cell; all records of a site "
    "share the cell."
)
_GENERALISED_TO_DATASET = "Place generalised to the area of the whole dataset."
_REASON = (
    "to protect the people who live, work or learn there and sensitive animals; for research "
    "access ask the contact named in the metadata of the dataset."
)
_EXACT_WITHHELD = f"Exact place withheld {_REASON}"
_COORDINATES_WITHHELD = f"Coordinates withheld {_REASON}"


@dataclass(frozen=True, slots=True)
class PublicPlace:
    """The published place of a site; at level 0 it has no coordinates.

    Parameters
    ----------
    level
        0 (no coordinates) to 5 (finest cell), or 6 for an exact place.
    cell
        ``step|south|west``; ``root`` at level 0; ``exact|latitude|longitude`` for an exact place.
    latitude, longitude
        Centre of the cell, decimal degrees, WGS 84, with as many decimals as to be published.
    uncertainty_m
        From the centre to the farthest corner, plus the allowance for the device [m]; of an
        exact place the one recorded.
    precision_deg
        Step of the grid, or of rounding [degrees].
    footprint_wkt
        Outline of the cell, longitude first, in `FOOTPRINT_SRS`; empty if there is no cell.
    georeference_protocol, data_generalizations, information_withheld
        Fixed sentences of the level; the first is empty at level 0.
    """

    level: int
    cell: str
    latitude: Decimal | None
    longitude: Decimal | None
    uncertainty_m: int | None
    precision_deg: Decimal | None
    footprint_wkt: str
    georeference_protocol: str
    data_generalizations: str
    information_withheld: str

    @property
    def bounds(self) -> tuple[Decimal, Decimal, Decimal, Decimal] | None:
        """Return south, west, north and east of the cell; None at level 0."""
        if self.latitude is None or self.longitude is None:
            return None
        if is_exact(self.cell):
            return self.latitude, self.longitude, self.latitude, self.longitude
        return edges(cell_from_name(self.cell))


def is_exact(cell: str) -> bool:
    """Tell whether what stands in place of a cell's name is an exact place."""
    return cell.startswith(f"{EXACT}|")


def public_place(name: str) -> PublicPlace:
    """Return what is published for the cell of a name.

    Raises
    ------
    CellNameError
        If no cell has this name.
    """
    return place_of(cell_from_name(name))


def place_of(cell: int) -> PublicPlace:
    """Return what is published for a cell."""
    if cell == ROOT:
        return PublicPlace(
            level=0,
            cell=cell_name(ROOT),
            latitude=None,
            longitude=None,
            uncertainty_m=None,
            precision_deg=None,
            footprint_wkt="",
            georeference_protocol="",
            data_generalizations=_GENERALISED_TO_DATASET,
            information_withheld=_COORDINATES_WITHHELD,
        )
    level = level_of(cell)
    step = STEPS_DEG[level]
    south, west, north, east = edges(cell)
    protocol, generalised = _sentences(level)
    return PublicPlace(
        level=level,
        cell=cell_name(cell),
        latitude=south + step / 2,
        longitude=west + step / 2,
        uncertainty_m=_uncertainty_m(level, row_of(cell)),
        precision_deg=step,
        footprint_wkt=_outline(south, west, north, east),
        georeference_protocol=protocol,
        data_generalizations=generalised,
        information_withheld=_EXACT_WITHHELD,
    )


def lies_within(bounds: tuple[Decimal, Decimal, Decimal, Decimal] | None, box: str) -> bool:
    """Tell whether a cell (south, west, north, east) lies wholly in a box "w,s,e,n"."""
    if bounds is None or not box:
        return False
    south, west, north, east = bounds
    box_west, box_south, box_east, box_north = (Decimal(edge) for edge in box.split(","))
    return box_west <= west and east <= box_east and box_south <= south and north <= box_north


@cache
def _sentences(level: int) -> tuple[str, str]:
    step = STEPS_DEG[level]
    protocol = _PROTOCOL.format(step=step, allowance=ALLOWANCES_M[level])
    return protocol, _GENERALISED.format(step=step)


def _outline(*bounds: Decimal) -> str:
    south, west, north, east = map(str, bounds)  # quicker than to format each five times
    ring = f"{west} {south}, {east} {south}, {east} {north}, {west} {north}, {west} {south}"
    return f"POLYGON (({ring}))"


@lru_cache(maxsize=200_000)  # one number for a whole row of the grid
def _uncertainty_m(level: int, row: int) -> int:
    return ceil(centre_to_corner_m(level, row) + ALLOWANCES_M[level])


def centre_to_corner_m(level: int, row: int) -> float:
    """Return the geodesic distance from a cell's centre to its farthest corner on WGS 84 [m]."""
    step = STEPS_DEG[level]
    south = row * step - 90
    half = float(step / 2)
    centre, corners = float(south + step / 2), (float(south), float(south + step))
    distances_m: list[float] = [_wgs84().inv(0, centre, half, corner)[2] for corner in corners]
    return max(distances_m)


@cache
def _wgs84() -> "Geod":
    from pyproj import Geod  # noqa: PLC0415 -- slow to import, and only needed here

    return Geod(ellps="WGS84")
