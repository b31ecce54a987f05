"""How exact private sites become public places: plain Python, sites in, grid cells out."""

from portal.blurring.grid import CellNameError, PositionError
from portal.blurring.places import FOOTPRINT_SRS, PublicPlace, public_place
from portal.blurring.release import Generalisation, generalise, hidden_after_withdrawal
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
    "RulesError",
    "SiteError",
    "finest_level",
    "generalise",
    "hidden_after_withdrawal",
    "place_class",
    "public_place",
]
