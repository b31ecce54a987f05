"""What the form says about the soil of a pit: the true class, written with human error."""

from random import Random
from typing import Any

from portal.demo.counts import PitDrawn
from portal.demo.region import FARMS
from portal.demo.streams import pick, stream
from portal.demo.visits import Outing

TEXTURES = ("sand", "loam", "clay")
FIZZES = ("none", "weak", "strong")
TEXTURE_RIGHT, FIZZ_RIGHT, VALUE_OFF = 0.70, 0.90, 0.20
LIGHTEST, DARKEST = 6, 2  # Munsell values on the charts of brown soils
MOISTURE_WORDS = {
    "dry": {"dry": 1.0},
    "moist": {"moist": 0.7, "slightly moist": 0.3},
    "wet": {"wet": 0.9, "waterlogged": 0.1},
}
ACID_WORDS = {"none": "none", "weak": "slight", "strong": "strong"}
VINEGAR_WORDS = {"none": "none", "weak": "fizz seen", "strong": "fizz seen"}
LEFT_BLANK = 0.06  # project judgement: boxes that people leave empty


def soil_of(outing: Outing, pit: PitDrawn) -> dict[str, Any]:
    """Return the soil part of a pit's payload."""
    rng = stream(outing.seed, outing.ref, pit.ground, "soil")
    place = outing.place
    colour, state = _colour(rng, place.hue, pit.moisture)
    fizz = _neighbour(rng, FIZZES, place.fizz, FIZZ_RIGHT)
    with_acid = outing.group == FARMS
    soil: dict[str, Any] = {
        "moisture": pick(rng, MOISTURE_WORDS[pit.moisture]),
        "texture": _neighbour(rng, TEXTURES, place.texture, TEXTURE_RIGHT),
        "texture_key": "simple",
        "fizz": (ACID_WORDS if with_acid else VINEGAR_WORDS)[fizz],
        "fizz_acid": "1 M hydrochloric acid" if with_acid else "household vinegar",
        "colour": colour,
        "colour_state": state,
    }
    if rng.random() < LEFT_BLANK:
        soil |= {"colour": None, "colour_state": None}
    if rng.random() < LEFT_BLANK:
        soil |= {"fizz": "not_looked_for", "fizz_acid": None}
    return soil


def _neighbour(rng: Random, classes: tuple[str, ...], true: str, right: float) -> str:
    place = classes.index(true)
    beside = [at for at in (place - 1, place + 1) if 0 <= at < len(classes)]
    wrong = classes[rng.choice(beside)]
    return true if rng.random() < right else wrong


def _colour(rng: Random, hue: str, moisture: str) -> tuple[str, str]:
    value, chroma = rng.randint(3, 5), rng.randint(2, 4)
    if moisture == "wet":
        value -= 1
    if rng.random() < VALUE_OFF:
        value += rng.choice((-1, 1))
    value = min(max(value, DARKEST), LIGHTEST)
    return f"{hue} {value}/{chroma}", "dry" if moisture == "dry" else "moist"
