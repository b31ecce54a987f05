"""Read coordinates and depths as people write them, if they can be read in one way only."""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal, localcontext

from surveys.checks.bdq.values import plain

LONGEST_TEXT = 200  # no place is longer; keeps odd texts from taking long
LATITUDE_MAX = 90
LONGITUDE_MAX = 180
SECONDS_DIGITS = Decimal("1e-7")  # about a centimetre on the ground
SAME_PLACE_DEGREES = Decimal("0.0001")
HEMISPHERE = r"[nsew]|north|south|east|west"
ANGLE = re.compile(
    rf"(?P<before>{HEMISPHERE})?\s*(?P<sign>[+-])?\s*"
    r"(?P<degrees>[0-9]{1,3}(?:\.[0-9]+)?)\s*(?:°|º|deg(?:rees?)?\.?|d)?\s*"
    r"(?:(?P<minutes>[0-9]{1,2}(?:\.[0-9]+)?)\s*(?:'|min(?:utes?)?\.?|m)\s*)?"
    r"(?:(?P<seconds>[0-9]{1,2}(?:\.[0-9]+)?)\s*(?:\"|''|sec(?:onds?)?\.?|s(?![a-z]))\s*)?"
    rf"(?P<after>{HEMISPHERE})?"
)
QUOTES = str.maketrans({"\u2019": "'", "\u2032": "'", "\u201d": '"', "\u2033": '"'})

UNIT_METRES = {
    "m": Decimal(1),
    "cm": Decimal("0.01"),
    "ft": Decimal("0.3048"),
    "fathom": Decimal("1.8288"),
}
UNITS = {
    "m": "m meter meters metre metres",
    "cm": "cm centimeter centimeters centimetre centimetres",
    "ft": "ft foot feet",
    "fathom": "fathom fathoms fm fms fth",
}
UNIT_OF = {word: unit for unit, words in UNITS.items() for word in words.split()}
AMOUNT = r"([0-9]+(?:\.[0-9]+)?)"
DEPTH = re.compile(rf"{AMOUNT}\s*([a-z]+)?\.?(?:\s*(?:-|–|to|and)\s*{AMOUNT}\s*([a-z]+)?\.?)?")  # noqa: RUF001 -- the dash is meant


@dataclass(frozen=True)
class Angle:
    """Decimal degrees, and the axis if a hemisphere tells it."""

    degrees: Decimal
    axis: str

    @property
    def is_longitude_only(self) -> bool:
        """Tell whether the number is too large for a latitude."""
        return abs(self.degrees) > LATITUDE_MAX


def read_angle(text: str) -> Angle | None:
    """Read degrees, or degrees with minutes and seconds, with or without a hemisphere."""
    match = ANGLE.fullmatch(_folded(text))
    if match is None or (match["before"] and match["after"]):
        return None
    side = (match["before"] or match["after"] or "")[:1]
    minutes, seconds = (Decimal(match[name] or 0) for name in ("minutes", "seconds"))
    if max(minutes, seconds) >= 60 or (side and match["sign"]):  # noqa: PLR2004 -- minutes in a degree
        return None
    degrees = Decimal(match["degrees"]) + minutes / 60 + seconds / 3600
    if match["minutes"] or match["seconds"]:
        degrees = degrees.quantize(SECONDS_DIGITS)
    if degrees > LONGITUDE_MAX:
        return None
    negative = match["sign"] == "-" or side in {"s", "w"}
    axis = {"n": "latitude", "s": "latitude", "e": "longitude", "w": "longitude"}.get(side, "")
    return Angle(-degrees if negative else degrees, axis)


def _folded(text: str) -> str:
    plain = unicodedata.normalize("NFKC", text).translate(QUOTES).casefold()
    return " ".join(plain.split()).strip(" ,;")


def read_axis(text: str, axis: str) -> Decimal | None:
    """Read one coordinate whose axis is known."""
    angle = read_angle(text)
    if angle is None or angle.axis not in {"", axis}:
        return None
    return None if axis == "latitude" and angle.is_longitude_only else angle.degrees


def read_pair(text: str) -> tuple[Decimal, Decimal] | None:
    """Return latitude and longitude if text tells which is which."""
    if len(text) > LONGEST_TEXT:
        return None
    for halves in _halves(_folded(text)):
        angles = [read_angle(half) for half in halves]
        pair = _in_order(*angles)
        if pair is not None:
            return pair
    return None


def _halves(text: str) -> list[tuple[str, str]]:
    marked = re.fullmatch(r"(.+?)\s*[,;]\s*(.+)", text)
    if marked:
        return [(marked[1], marked[2])]
    return [(text[: gap.start()], text[gap.end() :]) for gap in re.finditer(r"\s+", text)]


def _in_order(first: Angle | None, second: Angle | None) -> tuple[Decimal, Decimal] | None:
    if first is None or second is None:
        return None
    axes = {first.axis, second.axis}
    if axes == {"latitude", "longitude"}:
        north, east = (first, second) if first.axis == "latitude" else (second, first)
    elif axes == {""} and first.is_longitude_only is not second.is_longitude_only:
        north, east = (second, first) if first.is_longitude_only else (first, second)
    else:
        return None
    return None if north.is_longitude_only else (north.degrees, east.degrees)


def read_depth(text: str) -> tuple[str, str] | None:
    """Return least and greatest depth [m] for a text with a unit; exact, not rounded."""
    match = DEPTH.fullmatch(_folded(text))
    if match is None:
        return None
    first, first_unit, second, second_unit = match.groups()
    unit = UNIT_OF.get(second_unit or first_unit or "")
    if unit is None or UNIT_OF.get(first_unit or second_unit or "") != unit:
        return None
    with localcontext(prec=50):
        depths = [Decimal(amount) * UNIT_METRES[unit] for amount in (first, second or first)]
    return (plain(depths[0]), plain(depths[1])) if depths[0] <= depths[1] else None
