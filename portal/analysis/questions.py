"""The questions put to a release, written down before its figures are seen.

Each is a family of its own: p values are adjusted over the kits and steps of one question.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from portal.statistics.contrasts import Contrast, Pairing
from portal.statistics.sides import read_side
from portal.statistics.tallies import DEEP_GROUP


@dataclass(frozen=True)
class Question:
    """Two sides to compare.

    Parameters
    ----------
    key, title : str
        Short name, and the question in words.
    contrast : Contrast
        What is compared with what.
    only : mapping
        Published columns and the words they are limited to.
    """

    key: str
    title: str
    contrast: Contrast
    only: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def _contrast(by: str, first: str, second: str, pairing: Pairing) -> Contrast:
    return Contrast(read_side(by, first), read_side(by, second), pairing)


QUESTIONS: tuple[Question, ...] = (
    Question(
        "tillage-paired",
        "Tillage: direct drilled against ploughed, pits of one visit",
        _contrast("management", "direct drilled", "ploughed", Pairing.PAIRED),
    ),
    Question(
        "tillage",
        "Tillage: direct drilled against ploughed, all pits",
        _contrast("management", "direct drilled", "ploughed", Pairing.UNPAIRED),
    ),
    Question(
        "pasture",
        "Old pasture (grazed) against ploughed, all pits",
        _contrast("management", "grazed", "ploughed", Pairing.UNPAIRED),
        {"habitat": ("old pasture", "crop field")},
    ),
    Question(
        "dryness",
        "Dryness: dry against moist soil, all pits",
        _contrast("moisture", "dry", "moist,slightly moist", Pairing.UNPAIRED),
    ),
    Question(
        "mulch",
        "Mulched against not mulched, beds and vegetable plots, all pits",
        _contrast("management", "mulched", "not mulched", Pairing.UNPAIRED),
        {"habitat": ("flower bed", "vegetable plot")},
    ),
    Question(
        "garden",
        "Lawn against flower bed, pits of one visit",
        _contrast("habitat", "lawn", "flower bed", Pairing.PAIRED),
    ),
)
DEEP_TITLE = "Deep-burrowing adults by habitat, crop fields by tillage, drenched pits only"
TILLAGE = ("direct drilled", "ploughed")
DEEP_ANIMALS = {"group": (DEEP_GROUP,), "stage": ("adult",)}
