"""A grid of geographic degrees (WGS 84) in five nested levels, in integers of 1e-7 degree.

Steps of 1, 0.1, 0.01 and 0.001 degree: Chapman 2020, Current Best Practices for Generalizing
Sensitive Species Occurrence Data, doi 10.15468/doc-5jp4-5g10, table 7. The step of 0.5 degree
between them is this project's own.

Inside the package a cell is one integer, ``level << 40 | row << 20 | column``, rows counted from
the south pole and columns from 180 west. It is small and quick to hash, and its natural order is
coarsest level, then south, then west.
"""

from decimal import ROUND_HALF_EVEN, Context, Decimal, InvalidOperation
from typing import Final

FINEST_LEVEL: Final = 5
STEPS_DEG: Final = {
    1: Decimal(1),
    2: Decimal("0.5"),
    3: Decimal("0.1"),
    4: Decimal("0.01"),
    5: Decimal("0.001"),
}
ALLOWANCES_M: Final = {1: 10_000, 2: 5_000, 3: 1_000, 4: 100, 5: 30}  # device error, by level

ROOT: Final = 0  # level 0: the dataset's whole area, published without coordinates
ROOT_NAME: Final = "root"

_DEGREE_E7 = 10_000_000
_RESOLUTION = Decimal("1e-7")
_MAX_LATITUDE, _MAX_LONGITUDE = 90, 180
_ARITHMETIC = Context(prec=28, rounding=ROUND_HALF_EVEN)
_STEPS_E7 = {level: int(step * _DEGREE_E7) for level, step in STEPS_DEG.items()}
_LEVELS = {str(step): level for level, step in STEPS_DEG.items()}
_CHILDREN_A_SIDE = {
    level: _STEPS_E7[level - 1] // _STEPS_E7[level] for level in range(2, FINEST_LEVEL + 1)
}
_LEVEL_SHIFT, _ROW_SHIFT = 40, 20
_INDEX_MASK = (1 << _ROW_SHIFT) - 1


class PositionError(ValueError):
    """A latitude or longitude that is no number or lies off the globe."""


class CellNameError(ValueError):
    """A text that names no cell of the grid."""


def latitude_e7(value: str | Decimal) -> int:
    """Return a latitude of decimal degrees in units of 1e-7 degree, rounded half-even.

    Raises
    ------
    PositionError
        If the value is no number or outside -90 to 90.
    """
    return _degrees_e7(value, "Latitude", _MAX_LATITUDE)


def longitude_e7(value: str | Decimal) -> int:
    """Return a longitude of decimal degrees in units of 1e-7 degree; 180 becomes -180.

    Raises
    ------
    PositionError
        If the value is no number or outside -180 to 180.
    """
    rounded = _degrees_e7(value, "Longitude", _MAX_LONGITUDE)
    half_turn = _MAX_LONGITUDE * _DEGREE_E7
    return -half_turn if rounded == half_turn else rounded


def _degrees_e7(value: str | Decimal, name: str, limit: int) -> int:
    try:
        degrees = Decimal(value)
    except InvalidOperation as error:
        message = f"{name} must be decimal degrees, not {value!r}."
        raise PositionError(message) from error
    # The range is that of the value as given: 90.00000001 is refused, though it rounds to 90.
    if not (degrees.is_finite() and -limit <= degrees <= limit):
        message = f"{name} must be between -{limit} and {limit}, not {value}."
        raise PositionError(message)
    return int(degrees.quantize(_RESOLUTION, context=_ARITHMETIC).scaleb(7, _ARITHMETIC))


def cell_at(latitude: int, longitude: int, level: int) -> int:
    """Return the cell of a level that holds a position [1e-7 degree].

    A point on an edge belongs to the cell north-east of it, the north pole to the last row.
    """
    if level == 0:
        return ROOT
    step = _STEPS_E7[level]
    from_south = min(latitude + _MAX_LATITUDE * _DEGREE_E7, 2 * _MAX_LATITUDE * _DEGREE_E7 - 1)
    from_west = longitude + _MAX_LONGITUDE * _DEGREE_E7
    return level << _LEVEL_SHIFT | from_south // step << _ROW_SHIFT | from_west // step


def level_of(cell: int) -> int:
    """Return the level of a cell, 0 (no coordinates) to 5 (finest)."""
    return cell >> _LEVEL_SHIFT


def row_of(cell: int) -> int:
    """Return the row of a cell, counted from the south pole."""
    return cell >> _ROW_SHIFT & _INDEX_MASK


def parent(cell: int) -> int:
    """Return the cell of the next coarser level that contains a cell other than the root."""
    level = level_of(cell)
    if level == 1:
        return ROOT
    side = _CHILDREN_A_SIDE[level]
    row, column = cell >> _ROW_SHIFT & _INDEX_MASK, cell & _INDEX_MASK
    return level - 1 << _LEVEL_SHIFT | row // side << _ROW_SHIFT | column // side


def edges(cell: int) -> tuple[Decimal, Decimal, Decimal, Decimal]:
    """Return south, west, north and east of a cell, with the decimals of its step."""
    step = STEPS_DEG[level_of(cell)]
    south = row_of(cell) * step - _MAX_LATITUDE
    west = (cell & _INDEX_MASK) * step - _MAX_LONGITUDE
    return south, west, south + step, west + step


def cell_name(cell: int) -> str:
    """Return the name of a cell, ``step|south|west``."""
    if cell == ROOT:
        return ROOT_NAME
    south, west, _, _ = edges(cell)
    return f"{STEPS_DEG[level_of(cell)]!s}|{south!s}|{west!s}"


def cell_from_name(name: str) -> int:
    """Return the cell of a name written by `cell_name`.

    Raises
    ------
    CellNameError
        If no cell has this name.
    """
    if name == ROOT_NAME:
        return ROOT
    step, _, corner = name.partition("|")
    south, _, west = corner.partition("|")
    try:
        cell = cell_at(latitude_e7(south), longitude_e7(west), _LEVELS[step])
    except (KeyError, PositionError):
        cell = ROOT
    if cell_name(cell) != name:
        message = f"{name!r} names no cell; a name reads like '0.01|51.23|-1.46'."
        raise CellNameError(message)
    return cell
