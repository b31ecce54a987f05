"""How exact private sites become public places: plain Python, sites in, grid cells out."""

from portal.blurring.exact import exact_place
from portal.blurring.grid import CellNameError, PositionError
from portal.blurring.places import (
    FOOTPRINT_SRS,
    PublicPlace,
    is_exact,
    lies_within,
    public_place,
)
from portal.blurring.release import (
    Generalisation,
    generalise,
    hidden_after_withdrawal,
    homes,
    may_stay,
)
from portal.blurring.rule_changes import RuleChange, rule_changes
from portal.blurring.rules import GeneralisationRules, RulesError, place_class
from portal.blurring.sites import PrivateSite, SiteError, finest_level

__all__ = [
    "FOOTPRINT_SRS",
    "CellNameError",
    "Generalisation",
    "GeneralisationRules",
    "PositionError",
    "PrivateSite",
    "PublicPlace",
    "RuleChange",
    "RulesError",
    "SiteError",
    "exact_place",
    "finest_level",
    "generalise",
    "hidden_after_withdrawal",
    "homes",
    "is_exact",
    "lies_within",
    "may_stay",
    "place_class",
    "public_place",
    "rule_changes",
]
