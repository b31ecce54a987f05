"""Soil colour: Munsell notation, its conversion to CIELAB and sRGB, and colour difference.

Notation after ASTM D1535: hue, value and chroma as `10YR 3/2`, or `N 4/` for a neutral. Colours
on screens and printed chips differ, so a converted colour is approximate. No carbon content is
read from colour: the published relations hold for one landscape each (Konen et al. 2003, Soil
Science Society of America Journal 67:1823).
"""

import re
import warnings
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from types import ModuleType

STRICT_PATTERN = (  # hues of the usual charts; canonical notation only
    r"^(?:(10|7\.5|5|2\.5)(YR|RP|GY|BG|PB|R|Y|G|B|P) (10|[0-9](?:\.5)?)/(\d{1,2}(?:\.\d)?)"
    r"|N (10|[0-9](?:\.5)?)/)$"
)
HUE_FAMILIES = ("R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP")
NUMBER = r"[0-9]{1,3}(?:\.[0-9]{1,2})?"
LOOSE = re.compile(
    rf"^(?:(?P<number>{NUMBER})\s*(?P<family>[A-Z]+)|N)\s*"
    rf"(?P<value>{NUMBER})\s*/\s*(?P<chroma>{NUMBER})?$"
)
EXAMPLE = "write it like 10YR 3/2 or N 4/"
TOP = 10


class MunsellError(ValueError):
    """A colour that cannot be read or converted; the message says what is wrong with it."""


@dataclass(frozen=True)
class Munsell:
    """A colour in Munsell terms.

    Parameters
    ----------
    hue : str
        Number and letters such as "10YR", or "N" for a neutral.
    value : Decimal
        Lightness step from 0 (black) to 10 (white).
    chroma : Decimal
        Strength of colour, 0 for a neutral.
    """

    hue: str
    value: Decimal
    chroma: Decimal

    @property
    def notation(self) -> str:
        """Return the canonical notation."""
        return f"{self.hue} {self.value}/{'' if self.hue == 'N' else self.chroma}"

    @property
    def is_chart_notation(self) -> bool:
        """Tell whether the notation fits the strict pattern of the usual soil charts."""
        return re.fullmatch(STRICT_PATTERN, self.notation) is not None


@dataclass(frozen=True)
class Reading:
    """A colour as written, as understood, and what to ask about it.

    Parameters
    ----------
    written : str
        The text as it came.
    colour : Munsell
        What it means.
    query : str
        A question to the recorder; empty when there is none.
    """

    written: str
    colour: Munsell
    query: str

    @property
    def was_rewritten(self) -> bool:
        """Tell whether the canonical notation differs from what was written."""
        return self.written != self.colour.notation


@dataclass(frozen=True)
class Lab:
    """CIELAB coordinates under D65, CIE 1931 2 degree observer."""

    lightness: float
    a: float
    b: float


def read_munsell(text: str) -> Reading:
    """Read a Munsell notation; spacing and case are forgiven and rewritten.

    Parameters
    ----------
    text : str
        Such as "10YR 3/2", "10yr3/2" or "N 4/".

    Returns
    -------
    Reading
        The colour and, for an old-style neutral with a chroma, a query.

    Raises
    ------
    MunsellError
        If the text is no Munsell notation; the message names the part at fault.
    """
    match = LOOSE.match(text.strip().upper())
    if not match:
        raise MunsellError(_what_is_wrong(text.strip().upper()))
    value, chroma = Decimal(match["value"]), Decimal(match["chroma"] or 0)
    _check_step(value)
    if match["family"]:
        return Reading(text, _chromatic(match, value), "")
    query = f"a neutral has no chroma, got {chroma}: is it N {_plain(value)}/?" if chroma else ""
    return Reading(text, Munsell("N", _plain(value), Decimal(0)), query)


def to_lab(colour: Munsell) -> Lab:
    """Return CIELAB under D65.

    Munsell renotation (Newhall, Nickerson and Judd 1943, Final report of the O.S.A. subcommittee
    on the spacing of the Munsell colors) gives xyY under illuminant C; Bradford adaptation
    carries it to D65. Leaving that step out is the usual error.

    Parameters
    ----------
    colour : Munsell
        Colour within the renotation data.

    Returns
    -------
    Lab
        Coordinates; allow 1 unit of difference between libraries.

    Raises
    ------
    MunsellError
        If the renotation data do not reach that colour.
    """
    colour_science = _library()
    lightness, a, b = colour_science.XYZ_to_Lab(_xyz_d65(colour), _white("D65"))
    return Lab(float(lightness), float(a), float(b))


def to_srgb(colour: Munsell) -> tuple[int, int, int]:
    """Return red, green and blue from 0 to 255 (IEC 61966-2-1), clipped to the gamut.

    Parameters
    ----------
    colour : Munsell
        Colour within the renotation data.

    Returns
    -------
    tuple of int
        Red, green, blue.

    Raises
    ------
    MunsellError
        If the renotation data do not reach that colour.
    """
    channels = _library().XYZ_to_sRGB(_xyz_d65(colour), illuminant=_white("D65"))
    red, green, blue = (round(255 * min(1.0, max(0.0, float(channel)))) for channel in channels)
    return red, green, blue


def colour_difference(first: Lab, second: Lab) -> float:
    """Return deltaE2000; one chip of a soil chart lies about 3 to 10 from the next.

    Sharma, Wu and Dalal 2005, The CIEDE2000 color-difference formula, Color Research and
    Application 30:21-30.
    """
    pair = [[lab.lightness, lab.a, lab.b] for lab in (first, second)]
    return float(_library().delta_E(*pair, method="CIE 2000"))


def _chromatic(match: re.Match[str], value: Decimal) -> Munsell:
    """Return a colour with hue; refuse a hue that does not exist.

    Raises
    ------
    MunsellError
        If the hue number, its letters or the chroma is at fault.
    """
    number, family = Decimal(match["number"]), match["family"]
    if family not in HUE_FAMILIES:
        message = f"{family} is no Munsell hue; the letters are {', '.join(HUE_FAMILIES)}."
        raise MunsellError(message)
    if not 0 < number <= TOP:
        message = f"The number before {family} is above 0 and at most 10, got {number}."
        raise MunsellError(message)
    if match["chroma"] is None:
        message = f"The chroma after the slash is missing; {EXAMPLE}."
        raise MunsellError(message)
    return Munsell(f"{_plain(number)}{family}", _plain(value), _plain(Decimal(match["chroma"])))


def _check_step(value: Decimal) -> None:
    """Refuse a value beyond white.

    Raises
    ------
    MunsellError
        If the value is above 10.
    """
    if value > TOP:
        message = f"The value before the slash is at most 10, got {value}."
        raise MunsellError(message)


def _what_is_wrong(text: str) -> str:
    """Return why a text is no Munsell notation, most telling fault first."""
    if not text:
        return f"The colour is empty; {EXAMPLE}."
    if "," in text:
        return f"Write a decimal point, not a comma: {text}."
    if "/" not in text:
        return f"The slash between value and chroma is missing in {text}; {EXAMPLE}."
    if re.match(rf"^{NUMBER}\s*/", text):
        return f"The hue comes first, then value and chroma: {text}; {EXAMPLE}."
    return f"{text} is no Munsell notation; {EXAMPLE}."


def _plain(number: Decimal) -> Decimal:
    """Return a number without trailing zeros and without exponent."""
    whole = number.to_integral_value()
    return whole if number == whole else number.normalize()


@cache
def _library() -> ModuleType:
    """Return colour-science, silent about optional plotting packages that are not needed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour as colour_science  # noqa: PLC0415 -- slow to load

    return colour_science


def _white(illuminant: str) -> object:
    """Return the white point xy of an illuminant for the 2 degree observer."""
    whites = _library().CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    return whites[illuminant]


def _xyz_d65(colour: Munsell) -> object:
    """Return XYZ under D65.

    Raises
    ------
    MunsellError
        If the renotation data do not reach that colour.
    """
    library = _library()
    neutral = colour.hue == "N" or not colour.chroma
    name = f"N{colour.value}" if neutral else colour.notation
    try:
        xyy = library.munsell_colour_to_xyY(name)
    except (ValueError, AssertionError) as error:
        message = f"{colour.notation} lies outside the Munsell renotation data."
        raise MunsellError(message) from error
    return library.chromatic_adaptation(
        library.xyY_to_XYZ(xyy),
        library.xy_to_XYZ(_white("C")),
        library.xy_to_XYZ(_white("D65")),
        method="Von Kries",
        transform="Bradford",
    )
