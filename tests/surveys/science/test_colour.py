"""Munsell notation and conversion, against ``munsell_*`` and published colour differences."""

from decimal import Decimal
from typing import Any

import pytest

from surveys.science.colour import (
    STRICT_PATTERN,
    Lab,
    Munsell,
    MunsellError,
    colour_difference,
    read_munsell,
    to_lab,
    to_srgb,
)
from tests.reference_tables import document, rows

GRAMMAR = document("munsell_grammar.json")
CHIPS = rows("munsell_checks.csv")
DIFFERENCES = document("colour_difference_checks.json")


def colour(text: str) -> Munsell:
    return read_munsell(text).colour


@pytest.mark.parametrize("chip", CHIPS, ids=lambda chip: chip["munsell"])
def test_chip_reads_as_its_parts_and_writes_as_itself(chip: dict[str, str]) -> None:
    reading = read_munsell(chip["munsell"])

    assert reading.colour.hue == chip["hue"]
    assert reading.colour.value == Decimal(chip["value"])
    assert reading.colour.chroma == Decimal(chip["chroma"])
    assert reading.colour.notation == chip["munsell"]
    assert (reading.query, reading.was_rewritten) == ("", False)
    assert reading.colour.is_chart_notation


@pytest.mark.parametrize("chip", CHIPS, ids=lambda chip: chip["munsell"])
def test_chip_converts_to_lab_under_d65(chip: dict[str, str]) -> None:
    # 0.01 against the renotation route; libraries differ by up to 0.84 deltaE2000
    lab = to_lab(colour(chip["munsell"]))

    expected = [float(chip[key]) for key in ("L_D65", "a_D65", "b_D65")]
    assert [lab.lightness, lab.a, lab.b] == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize("chip", CHIPS, ids=lambda chip: chip["munsell"])
def test_chip_converts_to_srgb_within_one_count(chip: dict[str, str]) -> None:
    expected = [int(chip[key]) for key in ("sRGB_R", "sRGB_G", "sRGB_B")]

    assert to_srgb(colour(chip["munsell"])) == pytest.approx(expected, abs=1)


def test_skipping_the_change_of_illuminant_would_be_noticed() -> None:
    chip = next(chip for chip in CHIPS if chip["munsell"] == "2.5YR 4/6")
    under_c = Lab(*(float(chip[key]) for key in ("L_C", "a_C", "b_C")))

    assert colour_difference(to_lab(colour("2.5YR 4/6")), under_c) > 0.5


def test_strict_pattern_is_the_published_one() -> None:
    assert GRAMMAR["strict_pattern"] == STRICT_PATTERN


@pytest.mark.parametrize(
    ("written", "canonical"),
    [
        ("10YR3/2", "10YR 3/2"),
        (" 10yr 3 / 2 ", "10YR 3/2"),
        ("10YR 3.0/2.0", "10YR 3/2"),
        ("7.50YR 2.5/1", "7.5YR 2.5/1"),
        ("N4/", "N 4/"),
        ("n 2.5/", "N 2.5/"),
    ],
)
def test_loose_notation_is_rewritten(written: str, canonical: str) -> None:
    reading = read_munsell(written)

    assert reading.colour.notation == canonical
    assert (reading.was_rewritten, reading.query) == (True, "")


def test_hue_between_chips_is_accepted_but_is_no_chart_notation() -> None:
    assert not colour("8.75YR 3/2").is_chart_notation


def test_old_style_neutral_is_accepted_with_a_query() -> None:
    reading = read_munsell("N 4/2")

    assert reading.colour == Munsell("N", Decimal(4), Decimal(0))
    assert reading.query == "a neutral has no chroma, got 2: is it N 4/?"


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("11YR 3/2", "above 0 and at most 10, got 11"),
        ("0YR 3/2", "above 0 and at most 10, got 0"),
        ("10YR 3-2", "slash between value and chroma is missing"),
        ("10XY 3/2", "XY is no Munsell hue"),
        ("3/2 10YR", "hue comes first"),
        ("10YR 11/2", "at most 10, got 11"),
        ("N 12/", "at most 10, got 12"),
        ("10YR 3/", "chroma after the slash is missing"),
        ("2,5YR 4/6", "decimal point, not a comma"),
        ("10YR dark/2", "no Munsell notation"),
        ("   ", "colour is empty"),
    ],
)
def test_bad_notation_is_refused_with_what_is_wrong(written: str, words: str) -> None:
    with pytest.raises(MunsellError, match=words):
        read_munsell(written)


def test_every_bad_example_of_the_grammar_is_refused_rewritten_or_queried() -> None:
    fates = {}
    for example in GRAMMAR["bad_examples"]:
        written = example.split(" (")[0]
        try:
            reading = read_munsell(written)
        except MunsellError:
            fates[written] = "refused"
        else:
            fates[written] = "query" if reading.query else "rewritten"

    assert fates == {
        "10YR3/2": "rewritten",
        "11YR 3/2": "refused",
        "10YR 3-2": "refused",
        "10XY 3/2": "refused",
        "N 4/2": "query",
        "3/2 10YR": "refused",
    }


@pytest.mark.parametrize("text", ["10YR 3/30", "10YR 0.5/1"])
def test_colour_outside_the_renotation_is_not_converted(text: str) -> None:
    with pytest.raises(MunsellError, match="outside the Munsell renotation"):
        to_lab(colour(text))


def test_chroma_of_zero_converts_as_the_neutral() -> None:
    assert to_srgb(colour("10YR 4/0")) == to_srgb(colour("N 4/"))


@pytest.mark.parametrize("pair", DIFFERENCES["pairs"])
def test_difference_matches_sharma_wu_and_dalal(pair: dict[str, Any]) -> None:
    difference = colour_difference(Lab(*pair["lab1"]), Lab(*pair["lab2"]))

    assert difference == pytest.approx(pair["deltaE_2000"], abs=5e-5)


@pytest.mark.parametrize("pair", DIFFERENCES["soil_pairs"])
def test_difference_between_chips_matches_the_table(pair: dict[str, Any]) -> None:
    first, second = (to_lab(colour(text)) for text in pair["chips"])

    assert colour_difference(first, second) == pytest.approx(pair["deltaE_2000"], abs=0.01)
