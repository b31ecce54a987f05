"""Mass from length, against the check lengths of ``allometry.csv``."""

import pytest

from surveys.science.biomass import EQUATIONS, estimate_mass
from tests.reference_tables import rows

TABLE = rows("allometry.csv")


@pytest.mark.parametrize(
    "row", TABLE, ids=lambda row: f"{row['equation_id']} {row['check_length_mm']}"
)
def test_mass_matches_the_check_length(row: dict[str, str]) -> None:
    estimate = estimate_mass([float(row["check_length_mm"])], row["equation_id"], "preserved")

    assert estimate.mass_g == pytest.approx(float(row["check_value_g"]), rel=1e-4)


def test_equations_match_every_row_of_the_table() -> None:
    for row in TABLE:
        equation = EQUATIONS[row["equation_id"]]

        assert equation.a == pytest.approx(float(row["a"]), abs=1e-6)
        assert equation.b == float(row["b"])
        assert f"{equation.mass_kind} g" == row["y_unit"]
        assert equation.length_state == row["length_state"]
        assert equation.caution


def test_there_is_no_other_equation() -> None:
    assert set(EQUATIONS) == {row["equation_id"] for row in TABLE}


def test_masses_of_several_worms_add_up() -> None:
    both = estimate_mass([50, 100], "general lumbricid", "preserved")

    assert both.n_worms == 2
    assert both.mass_g == pytest.approx(0.051583 + 0.25145, rel=1e-4)
    assert both.equation.mass_kind == "ash-free dry mass"


def test_no_worms_have_no_mass() -> None:
    assert estimate_mass([], "general lumbricid", "preserved").mass_g == 0


def test_live_length_is_refused_by_an_equation_for_preserved_worms() -> None:
    with pytest.raises(ValueError, match="for preserved worms, got live lengths"):
        estimate_mass([50], "general lumbricid", "live")


def test_equation_that_does_not_state_its_lengths_takes_either_with_its_caution() -> None:
    estimate = estimate_mass([120], "Aporrectodea longa", "live")

    assert estimate.length_state == "live"
    assert "sanity check only" in estimate.equation.caution


@pytest.mark.parametrize(
    ("lengths", "equation_id", "state", "words"),
    [
        ([50], "Eisenia", "live", "Equations are"),
        ([50], "general lumbricid", "dried", "preserved or live, got 'dried'"),
        ([50, 0], "general lumbricid", "preserved", "above 0 mm, got 0"),
    ],
)
def test_what_cannot_be_estimated_is_refused(
    lengths: list[float], equation_id: str, state: str, words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        estimate_mass(lengths, equation_id, state)
