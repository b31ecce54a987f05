"""Checks of soil observations."""

import pytest

from surveys.visits.facts import SoilFacts
from tests.surveys.checks.visits import around, hand_sort, pit, responses, soil, visit

EARLIER = (4, 5, 6, 9, 12) * 10


def issues(
    *observations: SoilFacts, found: int = 3, earlier: tuple[int, ...] = EARLIER
) -> list[str]:
    sent = visit(pits=(pit(phases=(hand_sort(0, 0, 0, found),), soil=observations),))
    answers = responses("ISSUE_SOIL_CONTRADICTION", sent, around(earlier_totals=earlier))
    return [answer.code for answer in answers if answer.is_fault]


@pytest.mark.parametrize("word", ["dry", "waterlogged"])
def test_many_animals_where_few_stay_are_questioned(word: str) -> None:
    assert issues(soil("moisture", word), found=40) == ["soil-moisture-and-count"]
    assert issues(soil("moisture", word), found=7) == []


def test_many_animals_in_moist_soil_are_no_contradiction() -> None:
    assert issues(soil("moisture", "moist"), found=40) == []


def test_many_is_not_judged_by_too_few_earlier_pits() -> None:
    assert issues(soil("moisture", "dry"), found=40, earlier=EARLIER[:29]) == []


@pytest.mark.parametrize(
    ("value", "acid", "codes"),
    [
        ("strong", "1 M hydrochloric acid", []),
        ("strong", "household vinegar", ["soil-fizz-and-acid"]),
        ("fizz seen", "household vinegar", []),
        ("fizz seen", "1 M hydrochloric acid", ["soil-fizz-and-acid"]),
        ("none", "1 M hydrochloric acid", []),
        ("none", "household vinegar", []),
        ("strong", "", []),
    ],
)
def test_fizz_word_goes_with_its_acid(value: str, acid: str, codes: list[str]) -> None:
    assert issues(soil("fizz", value, acid)) == codes


def test_two_words_for_one_property_are_questioned() -> None:
    assert issues(soil("texture", "clay"), soil("texture", "loam")) == ["soil-said-twice"]
    assert issues(soil("texture", "clay"), soil("texture", "clay")) == []


def test_observation_not_made_is_no_contradiction() -> None:
    assert issues(SoilFacts("moisture", "not_looked_for", "", ""), found=40) == []


@pytest.mark.parametrize(
    ("state", "is_fault"), [("moist", False), ("dry", False), ("", True), ("wettish", True)]
)
def test_colour_needs_its_moisture_state(*, state: str, is_fault: bool) -> None:
    sent = visit(pits=(pit(soil=(soil("colour", "10YR 3/2", state),)),))

    (response,) = responses("VALIDATION_SOILCOLOUR_MOISTURE", sent, around())

    assert response.is_fault is is_fault


@pytest.mark.parametrize("word", ["MOISTURE", "STANDARD"])
def test_pit_without_colour_cannot_be_judged(word: str) -> None:
    sent = visit(pits=(pit(soil=()),))

    (response,) = responses(f"VALIDATION_SOILCOLOUR_{word}", sent, around())

    assert response.status == "INTERNAL_PREREQUISITES_NOT_MET"


@pytest.mark.parametrize(
    ("text", "is_fault"),
    [
        # good and bad forms: fixtures/reference/munsell_grammar.json (after ASTM D1535)
        ("10YR 3/2", False),
        ("N 4/", False),
        ("10YR3/2", False),
        ("11YR 3/2", True),
        ("10YR 3-2", True),
        ("10XY 3/2", True),
        ("3/2 10YR", True),
        ("N 4/2", True),
        ("dark brown", True),
    ],
)
def test_colour_is_a_munsell_notation(*, text: str, is_fault: bool) -> None:
    sent = visit(pits=(pit(soil=(soil("colour", text, "moist"),)),))

    (response,) = responses("VALIDATION_SOILCOLOUR_STANDARD", sent, around())

    assert response.is_fault is is_fault
    assert text not in response.comment or text in {"10YR 3/2", "N 4/"}
