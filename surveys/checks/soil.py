"""Checks of soil observations: words that contradict each other, and colours that are none."""

from collections import Counter

from surveys.checks.expected import ENOUGH_PITS, quantile
from surveys.checks.registry import check
from surveys.checks.response import (
    Response,
    cannot_run,
    compliant,
    no_issue,
    not_compliant,
    potential_issue,
)
from surveys.science.colour import MunsellError, read_munsell
from surveys.visits.facts import PitFacts, SoilFacts, Surroundings, VisitFacts

DROUGHT_SHARE = 0.95  # own-tests of the programme: the 95 % point
DROUGHT_WORDS = frozenset({"dry", "waterlogged"})
VINEGAR_WORDS = frozenset({"none", "fizz seen"})
COLOUR_STATES = frozenset({"moist", "dry"})


def observed(pit: PitFacts, name: str) -> SoilFacts | None:
    """Return one observation of a pit, if it was made."""
    return next((soil for soil in pit.soil if soil.name == name and soil.state == "counted"), None)


@check(label="ISSUE_SOIL_CONTRADICTION", version="2025-07-01")
def contradiction(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find soil words that rarely go together, or with the count."""
    found = [
        issue
        for place, pit in enumerate(visit.pits)
        for issue in (
            *drought_and_plenty(place, pit, around),
            *fizz_and_acid(place, pit),
            *said_twice(place, pit),
        )
    ]
    return found or [no_issue("The soil observations go together.")]


def drought_and_plenty(place: int, pit: PitFacts, around: Surroundings) -> list[Response]:
    """Question many animals in soil where they rest deep down or have fled."""
    moisture = observed(pit, "moisture")
    if (
        moisture is None
        or moisture.value not in DROUGHT_WORDS
        or len(around.earlier_totals) < ENOUGH_PITS
    ):
        return []
    many = quantile(around.earlier_totals, DROUGHT_SHARE)
    if pit.found() <= many:
        return []
    return [
        potential_issue(
            "soil-moisture-and-count",
            "Pit {pit}: {received} animals in {moisture} soil; 19 of 20 such pits hold at most "
            "{expected}, and animals leave such soil. Check both.",
            f"/pits/{place}/soil/moisture",
            pit=pit.number,
            received=pit.found(),
            moisture=moisture.value,
            expected=many,
        )
    ]


def fizz_and_acid(place: int, pit: PitFacts) -> list[Response]:
    """Question a fizz class that the acid cannot show."""
    fizz = observed(pit, "fizz")
    if fizz is None or not fizz.method:
        return []
    with_vinegar = "vinegar" in fizz.method
    if with_vinegar is (fizz.value in VINEGAR_WORDS) or fizz.value == "none":
        return []
    return [
        potential_issue(
            "soil-fizz-and-acid",
            "Pit {pit}: the fizz class '{received}' does not go with {acid}. Vinegar only shows "
            "'none' or 'fizz seen'; the finer classes need 1 M hydrochloric acid.",
            f"/pits/{place}/soil/fizz",
            pit=pit.number,
            received=fizz.value,
            acid=fizz.method,
        )
    ]


def said_twice(place: int, pit: PitFacts) -> list[Response]:
    """Question two different words for one property of one pit."""
    made = {(soil.name, soil.value) for soil in pit.soil if soil.state == "counted"}
    twice = [name for name, number in Counter(name for name, _ in made).items() if number > 1]
    return [
        potential_issue(
            "soil-said-twice",
            "Pit {pit}: two different values were sent for {name}. Send one.",
            f"/pits/{place}/soil/{name}",
            pit=pit.number,
            name=name,
        )
        for name in sorted(twice)
    ]


def colours_of(visit: VisitFacts) -> list[tuple[int, PitFacts, SoilFacts]]:
    """Return every soil colour with its pit and the place of that pit."""
    return [
        (place, pit, colour)
        for place, pit in enumerate(visit.pits)
        if (colour := observed(pit, "colour")) is not None
    ]


@check(label="VALIDATION_SOILCOLOUR_STANDARD", version="2025-07-01")
def colour_readable(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find colours that are no Munsell notation, or an odd one."""
    colours = colours_of(visit)
    if not colours:
        return [cannot_run("No soil colour was noted.")]
    faults = [
        not_compliant(
            "colour-not-readable",
            "Pit {pit}: the soil colour is no Munsell notation. Write hue, value and chroma as "
            "on the chart, like {expected}.",
            f"/pits/{place}/soil/colour",
            pit=pit.number,
            expected="10YR 3/2, or N 4/ for a grey without hue",
        )
        for place, pit, colour in colours
        if not is_munsell(colour.value)
    ]
    return faults or [compliant("Every soil colour is a Munsell notation.")]


def is_munsell(text: str) -> bool:
    """Tell whether a colour can be read without a question."""
    try:
        return not read_munsell(text).query
    except MunsellError:
        return False


@check(label="VALIDATION_SOILCOLOUR_MOISTURE", version="2025-07-01")
def colour_has_state(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find colours without their moisture state, which changes the colour."""
    colours = colours_of(visit)
    if not colours:
        return [cannot_run("No soil colour was noted.")]
    faults = [
        not_compliant(
            "colour-without-moisture",
            "Pit {pit}: say whether the soil was moist or dry when its colour was read; dry "
            "soil looks lighter, so a colour alone cannot be compared.",
            f"/pits/{place}/soil/colour_state",
            pit=pit.number,
        )
        for place, pit, colour in colours
        if colour.method not in COLOUR_STATES
    ]
    return faults or [compliant("Every soil colour says whether the soil was moist or dry.")]
