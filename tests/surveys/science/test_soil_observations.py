"""Moisture, fizz and pH classes, against the tables of fixtures/reference."""

from decimal import Decimal
from itertools import groupby

import pytest

from surveys.protocol.vocabulary import Fizz, Moisture
from surveys.science.soil_observations import (
    FIZZ_SCHEMES,
    SQUEEZE_SCALE,
    ph_class,
    read_fizz,
    squeeze_class,
)
from tests.reference_tables import rows

MOISTURE = rows("moisture.csv")
SQUEEZE = [row for row in MOISTURE if row["scheme"].startswith("squeeze")]
BY_FEEL = [row for row in MOISTURE if row["scheme"] == "available water by feel"]
FIZZ = rows("effervescence.csv")
PH = rows("ph_classes.csv")


@pytest.mark.parametrize("row", SQUEEZE, ids=lambda row: row["classes_or_step"])
def test_squeeze_class_matches_the_table(row: dict[str, str]) -> None:
    step = squeeze_class(row["classes_or_step"])

    assert step.step == int(row["order"])
    assert step.water_from_percent == int(row["available_water_percent_from"])
    assert f"{step.water_to_percent or ''}" == row["available_water_percent_to"]


def test_squeeze_bands_are_those_of_the_nrcs_feel_table_in_every_texture_group() -> None:
    bands = [(step.water_from_percent, step.water_to_percent) for step in SQUEEZE_SCALE[:4]]

    for _, group in groupby(BY_FEEL, key=lambda row: row["texture_group"]):
        table = [
            (int(row["available_water_percent_from"]), int(row["available_water_percent_to"]))
            for row in group
        ]
        assert table[:4] == bands


def test_unknown_moisture_is_refused_with_the_words_allowed() -> None:
    with pytest.raises(ValueError, match=r"Moisture is dry, slightly moist, .* got 'soggy'"):
        squeeze_class("soggy")


@pytest.mark.parametrize("row", FIZZ, ids=lambda row: f"{row['scheme']} {row['order']}")
def test_fizz_class_matches_the_table(row: dict[str, str]) -> None:
    reading = read_fizz(row["scheme"], row["class_name"])

    place = int(row["order"])
    assert reading.rank == (None if row["scheme"] == "household vinegar" else place)
    assert reading.carbonate == ("shown" if place else "not shown")


def test_every_fizz_scheme_and_class_is_in_the_table() -> None:
    known = [(name, word) for name, scheme in FIZZ_SCHEMES.items() for word in scheme.classes]

    assert known == [(row["scheme"], row["class_name"]) for row in FIZZ]


def test_vinegar_shows_carbonate_but_never_excludes_or_ranks_it() -> None:
    fizzing, silent = (read_fizz("household vinegar", word) for word in ("fizz seen", "none"))

    assert (fizzing.carbonate, fizzing.rank) == ("shown", None)
    assert (silent.carbonate, silent.rank) == ("not shown", None)


@pytest.mark.parametrize(
    ("scheme", "word", "complaint"),
    [
        ("lemon juice", "none", "Fizz schemes are"),
        ("household vinegar", "strong", "household vinegar is none, fizz seen, got 'strong'"),
        ("usda 1 M HCl", "fizz seen", "got 'fizz seen'"),
    ],
)
def test_fizz_of_another_scheme_is_refused(scheme: str, word: str, complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        read_fizz(scheme, word)


@pytest.mark.parametrize("row", PH, ids=lambda row: row["class_name"])
def test_ph_class_matches_the_table_at_both_limits(row: dict[str, str]) -> None:
    for limit in (row["ph_from"] or "0", row["ph_to"] or "14"):
        assert ph_class(Decimal(limit)) == row["class_name"]


def test_ph_between_two_classes_is_rounded_half_up() -> None:
    assert ph_class(Decimal("6.54")) == "slightly acid"
    assert ph_class(Decimal("6.55")) == "neutral"


@pytest.mark.parametrize("ph", ["-0.1", "14.1"])
def test_impossible_ph_is_refused(ph: str) -> None:
    with pytest.raises(ValueError, match="between 0 and 14"):
        ph_class(Decimal(ph))


def test_words_are_those_of_the_vocabulary() -> None:
    usda, vinegar = (FIZZ_SCHEMES[name].classes for name in ("usda 1 M HCl", "household vinegar"))

    assert [step.name for step in SQUEEZE_SCALE] == list(Moisture.values)
    assert list(dict.fromkeys(usda + vinegar)) == list(Fizz.values)
