"""The finest level of a site; values from the decision on location generalisation."""

import math
from dataclasses import replace

import pytest

from portal.blurring import GeneralisationRules, RulesError, SiteError, finest_level
from tests.portal.blurring.examples import GARDEN, RULES

# Nothing but the place kind limits this site.
GREEN = replace(GARDEN, place_kind="public_green", consent_level="fine")


@pytest.mark.parametrize(
    ("place_kind", "level"),
    [
        ("private_garden", 4),
        ("allotment", 4),
        ("other", 4),
        ("farm", 3),
        ("school_ground", 3),
        ("public_green", 5),
        ("reserve", 5),
    ],
)
def test_place_kind_limits_the_level(place_kind: str, level: int) -> None:
    assert finest_level(replace(GREEN, place_kind=place_kind), RULES) == level


@pytest.mark.parametrize(
    ("consent", "level"),
    [("fine", 5), ("standard", 4), ("coarse", 3), ("region", 1), ("no_coordinates", 0)],
)
def test_consent_limits_the_level(consent: str, level: int) -> None:
    assert finest_level(replace(GREEN, consent_level=consent), RULES) == level


@pytest.mark.parametrize(("category", "level"), [(None, 5), (4, 5), (3, 4), (2, 3), (1, 0)])
def test_sensitive_taxon_limits_the_level(category: int | None, level: int) -> None:
    """Categories of Chapman 2020, doi 10.15468/doc-5jp4-5g10, table 7."""
    assert finest_level(replace(GREEN, taxon_category=category), RULES) == level


@pytest.mark.parametrize(
    ("uncertainty_m", "level"),
    [
        (0, 5),
        (30, 5),
        (30.1, 4),
        (100, 4),
        (100.5, 3),
        (1_000, 3),
        (1_001, 2),
        (5_000, 2),
        (5_001, 1),
        (10_000, 1),
        (10_001, 0),
        (math.inf, 0),
        (None, 4),  # 100 m is assumed
    ],
)
def test_uncertainty_limits_the_level(uncertainty_m: float | None, level: int) -> None:
    assert finest_level(replace(GREEN, uncertainty_m=uncertainty_m), RULES) == level


def test_coarsest_floor_decides() -> None:
    farm = replace(GREEN, place_kind="farm", uncertainty_m=2_000, taxon_category=3)

    assert finest_level(farm, RULES) == 2


def test_floor_of_a_school_can_be_raised() -> None:
    rules = GeneralisationRules(place_floors={**RULES.place_floors, "school_ground": 2})

    assert finest_level(replace(GREEN, place_kind="school_ground"), rules) == 2


@pytest.mark.parametrize(
    ("consent", "category", "uncertainty_m", "complaint"),
    [
        ("not_published", None, 5, "no floor for the consent 'not_published'"),
        ("fine", 5, 5, "no floor for the taxon category 5"),
        ("fine", None, -1, "must be 0 m or more, not -1"),
        ("fine", None, math.nan, "must be 0 m or more, not nan"),
    ],
)
def test_site_without_a_floor_is_refused(
    consent: str, category: int | None, uncertainty_m: float, complaint: str
) -> None:
    site = replace(
        GREEN, consent_level=consent, taxon_category=category, uncertainty_m=uncertainty_m
    )

    with pytest.raises(SiteError, match=f"^Site garden: .*{complaint}"):
        finest_level(site, RULES)


def test_site_of_unknown_place_kind_is_refused() -> None:
    with pytest.raises(RulesError, match="not 'moor'"):
        finest_level(replace(GREEN, place_kind="moor"), RULES)
