"""What the blurring must know of a private site, and the finest level the site may have."""

from dataclasses import dataclass
from decimal import Decimal

from portal.blurring.grid import ALLOWANCES_M, FINEST_LEVEL
from portal.blurring.rules import GeneralisationRules, place_class


class SiteError(ValueError):
    """A site that the rules cannot place."""


@dataclass(frozen=True, slots=True)
class PrivateSite:
    """A site to be published; one whose consent is "not published" is not passed in.

    Parameters
    ----------
    key
        Distinguishes the sites of one run; the result is given by it.
    unit
        The household, farm business or institution; it counts once however many sites it has.
    latitude, longitude
        Decimal degrees, WGS 84.
    place_kind, consent_level
        Terms that the rules have floors for.
    uncertainty_m
        Recorded uncertainty of the position [m]; None if unknown.
    taxon_category
        Sensitivity category of the most sensitive taxon found, 1 (highest) to 4; None if none.
    """

    key: str
    unit: str
    latitude: str | Decimal
    longitude: str | Decimal
    place_kind: str
    consent_level: str
    uncertainty_m: float | None = None
    taxon_category: int | None = None


def finest_level(site: PrivateSite, rules: GeneralisationRules) -> int:
    """Return the finest level a site may be shown at: the coarsest of its four floors.

    Raises
    ------
    RulesError
        If the place kind is not known.
    SiteError
        If the rules have no floor for the site's consent or taxon, or its uncertainty is
        negative or no number.
    """
    place_class(site.place_kind)
    if site.consent_level not in rules.consent_floors:
        message = f"Site {site.key}: no floor for the consent {site.consent_level!r}."
        raise SiteError(message)
    if site.taxon_category is not None and site.taxon_category not in rules.taxon_floors:
        message = f"Site {site.key}: no floor for the taxon category {site.taxon_category!r}."
        raise SiteError(message)
    return min(
        rules.place_floors[site.place_kind],
        rules.consent_floors[site.consent_level],
        FINEST_LEVEL if site.taxon_category is None else rules.taxon_floors[site.taxon_category],
        _uncertainty_floor(site, rules),
    )


def _uncertainty_floor(site: PrivateSite, rules: GeneralisationRules) -> int:
    recorded = site.uncertainty_m
    uncertainty_m = rules.unknown_uncertainty_m if recorded is None else recorded
    if not uncertainty_m >= 0:  # also true of "not a number"
        message = f"Site {site.key}: uncertainty must be 0 m or more, not {uncertainty_m}."
        raise SiteError(message)
    level = FINEST_LEVEL
    while level > 0 and ALLOWANCES_M[level] < uncertainty_m:
        level -= 1
    return level
