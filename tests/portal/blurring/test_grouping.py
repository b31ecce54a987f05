"""Which cells are opened and who is shown how, as small tables of sites.

The scenes are worked by hand from the decision on location generalisation; k is 3 and a cell is
opened from 5 units.
"""

from dataclasses import replace

import pytest

from portal.blurring import GeneralisationRules, generalise
from tests.portal.blurring.examples import GARDEN, RULES, cells, gardens, scattered

HALF_DEGREE, TENTH, HUNDREDTH = "0.5|52.5|-0.5", "0.1|52.6|-0.5", "0.01|52.61|-0.49"
IN_HUNDREDTH = "52.6149", "-0.4851"
FAR_AWAY = "57.1234", "-2.1234"


@pytest.mark.parametrize(
    ("households", "cell"), [(5, HUNDREDTH), (4, "root"), (3, "root"), (2, "hidden"), (1, "hidden")]
)
def test_households_in_one_small_cell(households: int, cell: str) -> None:
    sites = gardens("a", households, *IN_HUNDREDTH)

    result = generalise(sites, {}, RULES)

    assert cells(result, sites) == {cell}


def test_neighbouring_cells_make_a_coarser_group_together() -> None:
    sites = scattered(
        "a", IN_HUNDREDTH, ("52.65", "-0.45"), ("52.66", "-0.45"), ("52.61", "-0.41")
    ) + gardens("b", 1, "52.69", "-0.42")

    result = generalise(sites, {}, RULES)

    assert cells(result, sites) == {TENTH}
    assert result.opened["household"] == {TENTH}


def test_household_with_several_plots_counts_once() -> None:
    sites = [replace(garden, unit="the same") for garden in gardens("a", 9, *IN_HUNDREDTH)]

    result = generalise(sites, {}, RULES)

    assert result.withheld == {site.key for site in sites}
    assert result.places == {}


def test_classes_of_places_are_grouped_apart() -> None:
    households = gardens("a", 3, *IN_HUNDREDTH)
    farms = [replace(site, place_kind="farm") for site in gardens("b", 2, *IN_HUNDREDTH)]

    result = generalise(households + farms, {}, RULES)

    assert cells(result, households) == {"root"}
    assert cells(result, farms) == {"hidden"}


def test_gardens_allotments_and_other_plots_are_one_class() -> None:
    kinds = ["private_garden", "private_garden", "allotment", "allotment", "other"]
    sites = [
        replace(site, place_kind=kind)
        for site, kind in zip(gardens("a", 5, *IN_HUNDREDTH), kinds, strict=True)
    ]

    result = generalise(sites, {}, RULES)

    assert cells(result, sites) == {HUNDREDTH}


@pytest.mark.parametrize(
    ("place_kind", "cell"),
    [
        ("school_ground", TENTH),
        ("public_green", "0.001|52.614|-0.486"),
        ("reserve", "0.001|52.614|-0.486"),
    ],
)
def test_single_institution_is_shown_at_its_floor(place_kind: str, cell: str) -> None:
    site = replace(GARDEN, place_kind=place_kind, consent_level="fine")

    result = generalise([site], {}, RULES)

    assert cells(result, [site]) == {cell}


def test_institutions_can_be_asked_for_more() -> None:
    school = replace(GARDEN, place_kind="school_ground")

    result = generalise([school], {}, GeneralisationRules(institutions_at=2))

    assert cells(result, [school]) == {"hidden"}


def test_rest_at_the_root_is_hidden_when_too_small() -> None:
    many, few = gardens("a", 5, *IN_HUNDREDTH), gardens("b", 2, *FAR_AWAY)

    result = generalise(many + few, {}, RULES)

    assert cells(result, many) == {HUNDREDTH}
    assert cells(result, few) == {"hidden"}


def test_cell_is_given_back_when_too_few_would_be_left_outside_it() -> None:
    five, six = gardens("a", 5, *IN_HUNDREDTH), gardens("b", 6, "52.655", "-0.455")
    loose = gardens("c", 2, "52.695", "-0.405")

    result = generalise(five + six + loose, {"household": [TENTH]}, RULES)

    assert cells(result, five + loose) == {TENTH}
    assert cells(result, six) == {"0.01|52.65|-0.46"}


def test_no_cell_is_given_back_when_nobody_is_left_outside() -> None:
    five, six = gardens("a", 5, *IN_HUNDREDTH), gardens("b", 6, "52.655", "-0.455")

    result = generalise(five + six, {"household": [TENTH]}, RULES)

    assert cells(result, five) == {HUNDREDTH}
    assert cells(result, six) == {"0.01|52.65|-0.46"}


@pytest.mark.parametrize(
    ("given_back", "opened"),
    [
        (("52.615", "-0.485"), ("52.625", "-0.495")),  # the southern one, though further east
        (("52.615", "-0.495"), ("52.615", "-0.485")),  # in one row the western one
    ],
)
def test_southern_then_western_cell_is_given_back_among_equals(
    given_back: tuple[str, str], opened: tuple[str, str]
) -> None:
    back, away = gardens("a", 5, *given_back), gardens("b", 5, *opened)
    loose = gardens("c", 1, "52.695", "-0.405")

    result = generalise(away + back + loose, {"household": [TENTH]}, RULES)

    assert cells(result, back + loose) == {TENTH}
    assert TENTH not in cells(result, away)


def test_coarser_cell_is_given_back_among_equals() -> None:
    fine = gardens("a", 5, "52.515", "-0.485")  # further south than the coarse one
    coarse = scattered(
        "b", ("52.61", "-0.49"), ("52.62", "-0.48"), ("52.63", "-0.47"), ("52.64", "-0.46")
    ) + gardens("c", 1, "52.65", "-0.45")
    loose = scattered("d", ("52.85", "-0.05"), ("52.95", "-0.15"))

    result = generalise(fine + coarse + loose, {"household": [HALF_DEGREE]}, RULES)

    assert cells(result, coarse + loose) == {HALF_DEGREE}
    assert cells(result, fine) == {"0.01|52.51|-0.49"}


def test_outermost_cell_is_given_back_and_the_finer_one_inside_stays() -> None:
    inside = gardens("a", 5, *IN_HUNDREDTH)
    around = scattered(
        "b", ("52.62", "-0.48"), ("52.63", "-0.47"), ("52.64", "-0.46"), ("52.65", "-0.45")
    ) + scattered("c", ("52.66", "-0.44"), ("52.67", "-0.43"))
    loose = scattered("d", ("52.85", "-0.05"), ("52.95", "-0.15"))

    result = generalise(inside + around + loose, {"household": [HALF_DEGREE]}, RULES)

    assert cells(result, inside) == {HUNDREDTH}
    assert cells(result, around + loose) == {HALF_DEGREE}
    assert result.opened["household"] == {HALF_DEGREE, HUNDREDTH}


def test_group_of_an_opened_cell_is_kept_at_fewer_units_than_opened_it() -> None:
    sites = gardens("a", 5, *IN_HUNDREDTH)
    opened = generalise(sites, {}, RULES).opened

    with_three = generalise(sites[:3], opened, RULES)
    with_two = generalise(sites[:2], with_three.opened, RULES)
    with_a_newcomer = generalise(
        [*sites[:2], *gardens("b", 1, *IN_HUNDREDTH)], with_two.opened, RULES
    )

    assert cells(with_three, sites[:3]) == {HUNDREDTH}
    assert cells(with_two, sites[:2]) == {"hidden"}
    assert cells(with_a_newcomer, sites[:2]) == {HUNDREDTH}


def test_newcomer_with_a_coarser_limit_stays_out_of_an_opened_cell() -> None:
    sites = gardens("a", 5, *IN_HUNDREDTH)
    shy = replace(GARDEN, key="shy", unit="shy", consent_level="coarse")

    result = generalise([*sites, shy], {"household": [TENTH, HUNDREDTH]}, RULES)

    assert cells(result, sites) == {HUNDREDTH}
    assert cells(result, [shy]) == {"hidden"}


def test_finer_place_comes_when_the_group_has_grown() -> None:
    first = gardens("a", 4, *IN_HUNDREDTH)
    before = generalise(first, {}, RULES)

    grown = [*first, *gardens("b", 1, *IN_HUNDREDTH)]
    after = generalise(grown, before.opened, RULES)

    assert cells(before, first) == {"root"}
    assert cells(after, grown) == {HUNDREDTH}
