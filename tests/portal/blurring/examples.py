"""Sites for examples: a valid minimum, with the differences that a test is about."""

import json
from collections.abc import Iterable
from dataclasses import asdict, replace

from portal.blurring import Generalisation, GeneralisationRules, PrivateSite, place_class
from portal.blurring.grid import cell_at, cell_name, latitude_e7, longitude_e7
from portal.blurring.sites import finest_level

RULES = GeneralisationRules()

GARDEN = PrivateSite(
    key="garden",
    unit="household",
    latitude="52.6149",
    longitude="-0.4851",
    place_kind="private_garden",
    consent_level="standard",
    uncertainty_m=10,
)


def gardens(prefix: str, number: int, latitude: str, longitude: str) -> list[PrivateSite]:
    """Return gardens of as many households, all at one position."""
    return [
        replace(GARDEN, key=name, unit=name, latitude=latitude, longitude=longitude)
        for name in (f"{prefix}{count}" for count in range(1, number + 1))
    ]


def scattered(prefix: str, *positions: tuple[str, str]) -> list[PrivateSite]:
    """Return one garden of its own household at each position."""
    return [
        site
        for count, position in enumerate(positions, start=1)
        for site in gardens(f"{prefix}{count}.", 1, *position)
    ]


def cells(result: Generalisation, sites: Iterable[PrivateSite]) -> set[str]:
    """Return the cells in which sites are shown, ``hidden`` among them if one is withheld."""
    places = result.places
    return {places[site.key].cell if site.key in places else "hidden" for site in sites}


def as_text(result: Generalisation) -> str:
    """Write a result out; two results are the same if their texts are."""
    return json.dumps(
        {
            "places": [(key, asdict(place)) for key, place in result.places.items()],
            "withheld": sorted(result.withheld),
            "opened": {name: sorted(names) for name, names in result.opened.items()},
        },
        default=str,
    )


def home(site: PrivateSite, opened: dict[str, frozenset[str]], rules: GeneralisationRules) -> str:
    """Return the deepest opened cell that a site may be shown in, hidden or not."""
    position = latitude_e7(site.latitude), longitude_e7(site.longitude)
    names = [cell_name(cell_at(*position, level)) for level in range(finest_level(site, rules) + 1)]
    of_class = opened[place_class(site.place_kind)] | {"root"}
    return [name for name in names if name in of_class][-1]
