"""Whole histories computed by an independent implementation with exact arithmetic.

Source: ``fixtures/reference/generalisation_cases.json``, which names its rule.
"""

from typing import Any

import pytest

from portal.blurring import (
    Generalisation,
    GeneralisationRules,
    PrivateSite,
    PublicPlace,
    generalise,
)
from portal.blurring.grid import ALLOWANCES_M, FINEST_LEVEL, STEPS_DEG
from tests.reference_tables import document

CASES = document("generalisation_cases.json")
KINDS = {
    "private_garden": "private_garden",
    "farm": "farm",
    "school": "school_ground",
    "public_land": "public_green",
}
RUNS = [
    pytest.param(case, run, id=f"{case['name']}, k = {run['keep_at']}")
    for case in CASES["cases"]
    for run in case["runs"]
]


def read_sites(case: dict[str, Any]) -> dict[str, PrivateSite]:
    """Return the sites of a case that may be published, by key."""
    rows = [dict(zip(case["columns"], row, strict=True)) for row in case["sites"]]
    return {
        row["site"]: PrivateSite(
            key=row["site"],
            unit=row["unit"],
            latitude=row["lat"],
            longitude=row["lon"],
            place_kind=KINDS[row["place_class"]],
            consent_level=row["consent"],
            uncertainty_m=row["uncertainty_m"],
            taxon_category=row["taxon_category"],
        )
        for row in rows
        if row["consent"] != "not_published"
    }


def published(result: Generalisation) -> dict[str, str | None]:
    """Return the cell of every site, None where it is withheld."""
    shown = {key: place.cell for key, place in result.places.items()}
    return shown | dict.fromkeys(result.withheld)


def as_written(place: PublicPlace) -> dict[str, Any]:
    """Return a place with the names of the cases."""
    return {
        "level": place.level,
        "step": str(place.precision_deg),
        "decimalLatitude": str(place.latitude),
        "decimalLongitude": str(place.longitude),
        "coordinateUncertaintyInMeters": place.uncertainty_m,
        "footprintWKT": place.footprint_wkt,
    }


@pytest.mark.parametrize(("case", "run"), RUNS)
def test_history_is_that_of_the_independent_implementation(
    case: dict[str, Any], run: dict[str, Any]
) -> None:
    sites = read_sites(case)
    rules = GeneralisationRules(run["keep_at"], run["open_at"], run["institutions_at"])
    live: set[str] = set()
    opened: dict[str, frozenset[str]] = {}

    for release in run["releases"]:
        live = (live | set(release["added"])) - set(release["withdrawn"])
        result = generalise([sites[key] for key in live & sites.keys()], opened, rules)
        opened = result.opened

        assert published(result) == release["published"]
        for place in result.places.values():
            assert place.level == 0 or as_written(place) == CASES["cells"][place.cell]


def test_default_floors_are_those_of_the_cases() -> None:
    rules = GeneralisationRules()

    assert {name: rules.place_floors[kind] for name, kind in KINDS.items()} == CASES["place_floors"]
    assert rules.consent_floors == CASES["consent_floors"]
    assert {"None": FINEST_LEVEL, **rules.as_dict()["taxon_floors"]} == CASES["taxon_floors"]


def test_steps_and_allowances_are_those_of_the_cases() -> None:
    levels = range(1, FINEST_LEVEL + 1)

    assert [None, *(str(STEPS_DEG[level]) for level in levels)] == CASES["steps_degrees"]
    assert [None, *(ALLOWANCES_M[level] for level in levels)] == CASES["allowance_m"]
