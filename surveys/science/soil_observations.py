"""Squeeze moisture, acid fizz and pH: classes as written on the form, and what they may say."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

STRONGEST_PH = 14


@dataclass(frozen=True)
class MoistureClass:
    """A step of the squeeze scale.

    Parameters
    ----------
    name : str
        Word on the form.
    step : int
        0 is the driest.
    water_from_percent, water_to_percent : int or None
        Share of the water that plants could use [percent of available water]; no upper limit
        for standing water.
    """

    name: str
    step: int
    water_from_percent: int
    water_to_percent: int | None


# The five steps are ours; the bands are those of USDA-NRCS, Estimating Soil Moisture by Feel and
# Appearance (Program Aid 1619), the same for all texture groups.
SQUEEZE_SCALE = (
    MoistureClass("dry", 0, 0, 25),
    MoistureClass("slightly moist", 1, 25, 50),
    MoistureClass("moist", 2, 50, 75),
    MoistureClass("wet", 3, 75, 100),
    MoistureClass("waterlogged", 4, 100, None),
)


@dataclass(frozen=True)
class FizzScheme:
    """A way to class the fizz of soil under a drop of acid.

    Parameters
    ----------
    acid : str
        What was dropped.
    classes : tuple of str
        Words on the form, no fizz first.
    can_rank : bool
        Whether a later class means a stronger fizz.
    """

    acid: str
    classes: tuple[str, ...]
    can_rank: bool


# Percentages of carbonate are left out on purpose: the schemes disagree, so scheme, acid and
# class are what is kept.
FIZZ_SCHEMES = {
    # Schoeneberger et al. 2012, Field Book for Describing and Sampling Soils
    "usda 1 M HCl": FizzScheme(
        "1 M hydrochloric acid",
        ("none", "very slight", "slight", "strong", "violent"),
        can_rank=True,
    ),
    # FAO 2006, Guidelines for soil description, 4th edition: from memory
    "fao 10 percent HCl": FizzScheme(
        "10 percent hydrochloric acid",
        (
            "non-calcareous",
            "slightly calcareous",
            "moderately calcareous",
            "strongly calcareous",
            "extremely calcareous",
        ),
        can_rank=True,
    ),
    # ISO 14688-1:2019 field test as summarised by a handbook page; the standard was not seen
    "geotechnical 10 percent HCl": FizzScheme(
        "10 percent hydrochloric acid",
        ("free of lime", "low lime", "slightly calcareous", "calcareous"),
        can_rank=True,
    ),
    # 5 percent acetic acid has a pH of about 2.4, some 260 times less active than 1 M HCl
    "household vinegar": FizzScheme("household vinegar", ("none", "fizz seen"), can_rank=False),
}


@dataclass(frozen=True)
class FizzReading:
    """A fizz class and what it may be taken to say.

    Parameters
    ----------
    scheme, acid, class_name : str
        What is kept.
    rank : int or None
        Place in the scheme, 0 for no fizz; None when the acid cannot rank. Ranks of different
        schemes are not comparable.
    carbonate : str
        "shown" or "not shown"; never "absent", since little carbonate, coarse grains or dolomite
        may stay silent.
    """

    scheme: str
    acid: str
    class_name: str
    rank: int | None
    carbonate: str


# USDA Soil Survey Manual, Handbook 18, reaction classes, with the highest pH of each: from memory
PH_CLASSES = (
    (Decimal("3.4"), "ultra acid"),
    (Decimal("4.4"), "extremely acid"),
    (Decimal("5.0"), "very strongly acid"),
    (Decimal("5.5"), "strongly acid"),
    (Decimal("6.0"), "moderately acid"),
    (Decimal("6.5"), "slightly acid"),
    (Decimal("7.3"), "neutral"),
    (Decimal("7.8"), "slightly alkaline"),
    (Decimal("8.4"), "moderately alkaline"),
    (Decimal("9.0"), "strongly alkaline"),
    (Decimal(STRONGEST_PH), "very strongly alkaline"),
)


def squeeze_class(name: str) -> MoistureClass:
    """Return the step of the squeeze scale.

    Parameters
    ----------
    name : str
        Word on the form.

    Returns
    -------
    MoistureClass
        Step and band of available water [percent].

    Raises
    ------
    ValueError
        If the word is not on the scale.
    """
    for step in SQUEEZE_SCALE:
        if step.name == name:
            return step
    message = f"Moisture is {', '.join(step.name for step in SQUEEZE_SCALE)}, got {name!r}."
    raise ValueError(message)


def read_fizz(scheme: str, class_name: str) -> FizzReading:
    """Return what a fizz class says.

    Vinegar can show carbonate but never exclude it and never rank it; no acid's silence proves
    that there is none.

    Parameters
    ----------
    scheme : str
        Key of `FIZZ_SCHEMES`.
    class_name : str
        Word of that scheme.

    Returns
    -------
    FizzReading
        Scheme, acid, class, rank and what it says of carbonate.

    Raises
    ------
    ValueError
        If the scheme or the word is unknown.
    """
    known = FIZZ_SCHEMES.get(scheme)
    if known is None:
        message = f"Fizz schemes are {', '.join(FIZZ_SCHEMES)}, got {scheme!r}."
        raise ValueError(message)
    if class_name not in known.classes:
        message = f"Fizz with {known.acid} is {', '.join(known.classes)}, got {class_name!r}."
        raise ValueError(message)
    place = known.classes.index(class_name)
    return FizzReading(
        scheme=scheme,
        acid=known.acid,
        class_name=class_name,
        rank=place if known.can_rank else None,
        carbonate="shown" if place else "not shown",
    )


def ph_class(ph: Decimal) -> str:
    """Return the reaction class of a pH, rounded half up to one decimal.

    Parameters
    ----------
    ph : Decimal
        pH from 0 to 14.

    Returns
    -------
    str
        Class name; the class limits are from memory, so no cited fact.

    Raises
    ------
    ValueError
        If the pH is outside 0 to 14.
    """
    if not 0 <= ph <= STRONGEST_PH:
        message = f"A pH lies between 0 and {STRONGEST_PH}, got {ph}."
        raise ValueError(message)
    tenths = ph.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)
    return next(name for highest, name in PH_CLASSES if tenths <= highest)
