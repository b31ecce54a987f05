"""Soil texture: by feel, and from sand, silt and clay by the published inequalities.

Fractions are whole numbers or decimals, never binary floats, because many soils lie exactly on a
boundary. The limits of sand differ (USDA 0.05 mm, UK 0.06 mm), so the mapping from one set of
classes to the other is a guide and not a conversion.
"""

# ruff: noqa: PLR2004 -- the classes are their numbers; each table names its source

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

Percent = Decimal | int
WHOLE = 100
RIBBON_STEPS_CM = (Decimal("2.5"), Decimal(5))  # 1 and 2 inches; from memory, see by_feel


@dataclass(frozen=True)
class TextureByFeel:
    """Result of a key; `usda_class` is empty for the simple key, which cannot tell it."""

    three_class: str
    usda_class: str
    key: str


@dataclass(frozen=True)
class Fractions:
    """Shares of the fine earth by mass [percent], adding up to 100 exactly."""

    sand: Percent
    silt: Percent
    clay: Percent

    def __post_init__(self) -> None:
        """Refuse what is not a point of the triangle.

        Raises
        ------
        TypeError
            If a share is a binary float.
        ValueError
            If a share is below 0 or the three do not add up to 100.
        """
        shares = (self.sand, self.silt, self.clay)
        if any(isinstance(share, float) for share in shares):
            message = "Give sand, silt and clay as whole numbers or decimals, not as floats."
            raise TypeError(message)
        if min(shares) < 0 or sum(shares) != WHOLE:
            message = f"Sand, silt and clay add up to 100, got {' + '.join(map(str, shares))}."
            raise ValueError(message)


Rule = Callable[[Fractions], bool]

# Benham, Ahrens and Nettleton 2009, Clarification of Soil Texture Class Boundaries, USDA-NRCS;
# Soil Survey Manual, Handbook 18. Tenths of a percent never fall in two classes or in none.
USDA_RULES: dict[str, Rule] = {
    "sand": lambda f: 2 * f.silt + 3 * f.clay < 30,  # silt + 1.5 clay < 15
    "loamy sand": lambda f: 2 * f.silt + 3 * f.clay >= 30 and f.silt + 2 * f.clay < 30,
    "sandy loam": lambda f: (
        f.silt + 2 * f.clay >= 30
        and ((7 <= f.clay < 20 and f.sand > 52) or (f.clay < 7 and f.silt < 50))
    ),
    "loam": lambda f: 7 <= f.clay < 27 and 28 <= f.silt < 50 and f.sand <= 52,
    "silt loam": lambda f: (
        (f.silt >= 50 and 12 <= f.clay < 27) or (50 <= f.silt < 80 and f.clay < 12)
    ),
    "silt": lambda f: f.silt >= 80 and f.clay < 12,
    "sandy clay loam": lambda f: 20 <= f.clay < 35 and f.silt < 28 and f.sand > 45,
    "clay loam": lambda f: 27 <= f.clay < 40 and 20 < f.sand <= 45,
    "silty clay loam": lambda f: 27 <= f.clay < 40 and f.sand <= 20,
    "sandy clay": lambda f: f.clay >= 35 and f.sand > 45,
    "silty clay": lambda f: f.clay >= 40 and f.silt >= 40,
    "clay": lambda f: f.clay >= 40 and f.sand <= 45 and f.silt < 40,
}

# Soil Survey of England and Wales, 11 classes (Hodgson 1976, Soil Survey Field Handbook). The
# first rule that holds decides; which side a point on a boundary falls is our choice.
UK_RULES: dict[str, Rule] = {
    "sand": USDA_RULES["sand"],
    "loamy sand": USDA_RULES["loamy sand"],
    "sandy loam": lambda f: f.clay < 18 and f.sand >= 50,
    "sandy silt loam": lambda f: f.clay < 18 and f.sand >= 20,
    "silt loam": lambda f: f.clay < 18,
    "sandy clay": lambda f: f.clay >= 30 and f.sand >= 45 and (f.silt < 20 or f.clay >= 35),
    "silty clay": lambda f: f.clay >= 35 and f.silt >= 45,
    "clay": lambda f: f.clay >= 35,
    "sandy clay loam": lambda f: f.sand >= 50,
    "clay loam": lambda f: f.sand >= 20,
    "silty clay loam": lambda f: f.sand < 20,
}

THREE_CLASS = {
    "sand": "sand",
    "loamy sand": "sand",
    "sandy loam": "loam",
    "loam": "loam",
    "silt loam": "loam",
    "silt": "loam",
    "sandy clay loam": "loam",
    "clay loam": "loam",
    "silty clay loam": "loam",
    "sandy clay": "clay",
    "silty clay": "clay",
    "clay": "clay",
}  # project grouping into coarse, medium and fine

# Share of each USDA class's area of the triangle that each UK class takes, largest first
# [percent]; computed here on whole-percent points.
UK_SHARES: dict[str, dict[str, int]] = {
    "sand": {"sand": 100},
    "loamy sand": {"loamy sand": 100},
    "sandy loam": {"sandy loam": 87, "sandy clay loam": 10, "sandy silt loam": 3},
    "loam": {"clay loam": 52, "sandy silt loam": 35, "sandy loam": 9, "sandy clay loam": 3},
    "silt loam": {
        "sandy silt loam": 48,
        "silty clay loam": 21,
        "silt loam": 21,
        "clay loam": 10,
    },
    "silt": {"silt loam": 99, "sandy silt loam": 1},
    "sandy clay loam": {"sandy clay loam": 66, "sandy clay": 26, "clay loam": 8},
    "clay loam": {"clay loam": 62, "clay": 37, "sandy clay": 2},
    "silty clay loam": {"silty clay loam": 59, "silty clay": 35, "clay": 4, "clay loam": 3},
    "sandy clay": {"sandy clay": 100},
    "silty clay": {"silty clay": 59, "clay": 41},
    "clay": {"clay": 99, "sandy clay": 1},
}

FULL_KEY = "Thien 1979"
SIMPLE_KEY = "ball, sausage and shine"
RIBBON_CLASSES = (  # by length of the ribbon, then by feel when very wet
    {"gritty": "sandy loam", "smooth": "silt loam", "neither": "loam"},
    {"gritty": "sandy clay loam", "smooth": "silty clay loam", "neither": "clay loam"},
    {"gritty": "sandy clay", "smooth": "silty clay", "neither": "clay"},
)


def by_feel(*, stays_in_ball: bool, ribbon_cm: Percent = 0, feel: str = "") -> TextureByFeel:
    """Return the texture by the full ribbon key, which has 11 outcomes and never gives silt.

    Thien 1979, A flow diagram for teaching texture-by-feel analysis, Journal of Agronomic
    Education 8:54-55; the ribbon lengths of 2.5 and 5 cm are from memory.

    Parameters
    ----------
    stays_in_ball : bool
        Whether moist soil holds together when squeezed.
    ribbon_cm : Decimal or int
        Length of the ribbon before it breaks [cm]; 0 when none forms.
    feel : str
        "gritty", "smooth" or "neither" when very wet; needed when there is a ribbon.

    Returns
    -------
    TextureByFeel
        USDA class and three-class texture.

    Raises
    ------
    ValueError
        If the ribbon is shorter than 0 or the feel is none of the three words.
    """
    if ribbon_cm < 0:
        message = f"A ribbon is 0 cm or longer, got {ribbon_cm}."
        raise ValueError(message)
    if not stays_in_ball or not ribbon_cm:
        usda = "loamy sand" if stays_in_ball else "sand"
        return TextureByFeel(THREE_CLASS[usda], usda, FULL_KEY)
    step = sum(ribbon_cm >= limit for limit in RIBBON_STEPS_CM)
    if feel not in RIBBON_CLASSES[step]:
        message = f"With a ribbon the feel is gritty, smooth or neither, got {feel!r}."
        raise ValueError(message)
    usda = RIBBON_CLASSES[step][feel]
    return TextureByFeel(THREE_CLASS[usda], usda, FULL_KEY)


def by_simple_feel(*, stays_in_ball: bool, sausage_shines: bool = False) -> TextureByFeel:
    """Return the three-class texture by ball, sausage and shine.

    Long-standing field practice, no single source.

    Parameters
    ----------
    stays_in_ball : bool
        Whether moist soil holds together when squeezed.
    sausage_shines : bool
        Whether it rolls into a sausage whose rubbed surface shines.

    Returns
    -------
    TextureByFeel
        Sand, loam or clay.
    """
    if not stays_in_ball:
        return TextureByFeel("sand", "", SIMPLE_KEY)
    return TextureByFeel("clay" if sausage_shines else "loam", "", SIMPLE_KEY)


def usda_class(fractions: Fractions) -> str:
    """Return the USDA texture class; the inequalities leave exactly one."""
    (name,) = (name for name, rule in USDA_RULES.items() if rule(fractions))
    return name


def uk_class(fractions: Fractions) -> str:
    """Return the UK texture class of the same numbers: the first rule that holds."""
    return next(name for name, rule in UK_RULES.items() if rule(fractions))
