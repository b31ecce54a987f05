"""A region of many gardens over many releases, and an attacker who forgets nothing.

Plain Python over the blurring itself: histories long enough to measure a rate. The attacker
knows every participating site with its exact place and its household, keeps every release and
follows record ids. Not known: which record belongs to which site, and when somebody joined.
"""

import random
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from portal.blurring import GeneralisationRules, PrivateSite, generalise, hidden_after_withdrawal

RULES = GeneralisationRules()
SOUTH, WEST = Decimal("52.6"), Decimal("-0.9")
VILLAGES, JOINING, RELEASES, LEAVING = 12, 50, 6, 0.05
CONSENTS = ("standard",) * 6 + ("fine", "coarse", "region")
Shown = dict[str, str]  # record id of a site -> cell


@dataclass(frozen=True)
class Chapter:
    """One release: the sites of the time, and what is shown once those who leave have left."""

    sites: dict[str, PrivateSite]
    shown: Shown


def history(seed: int) -> list[Chapter]:
    """Return the releases of a region in which people join and leave, by a seed."""
    chance = random.Random(seed)  # noqa: S311 -- to be repeated, not to be secret
    centres = [_spot(chance, SOUTH, WEST, 3_000_000) for _ in range(VILLAGES)]
    sites: dict[str, PrivateSite] = {}
    opened: dict[str, frozenset[str]] = {}
    chapters = []
    for number in range(RELEASES):
        for place in range(JOINING):
            made = _garden(chance, f"{number}-{place}", chance.choice(centres))
            sites[made.key] = made
        result = generalise(sites.values(), opened, RULES)
        opened = result.opened
        stayed = {key: site for key, site in sites.items() if chance.random() > LEAVING}
        remaining = [site for key, site in stayed.items() if key in result.places]
        hidden = hidden_after_withdrawal(remaining, opened, RULES)
        shown = {
            site.key: result.places[site.key].cell for site in remaining if site.key not in hidden
        }
        sites = stayed
        chapters.append(Chapter(dict(stayed), shown))
    return chapters


def _spot(
    chance: random.Random, south: Decimal, west: Decimal, reach_e7: int
) -> tuple[Decimal, Decimal]:
    return (
        south + Decimal(chance.randrange(reach_e7)).scaleb(-7),
        west + Decimal(chance.randrange(reach_e7)).scaleb(-7),
    )


def _garden(chance: random.Random, key: str, centre: tuple[Decimal, Decimal]) -> PrivateSite:
    latitude, longitude = _spot(chance, *centre, 250_000)
    return PrivateSite(
        key=key,
        unit=f"household {chance.randrange(400)}",
        latitude=latitude,
        longitude=longitude,
        place_kind="private_garden",
        consent_level=chance.choice(CONSENTS),
        uncertainty_m=5.0,
        taxon_category=None,
    )


def lies_in(site: PrivateSite, cell: str) -> bool:
    """Tell whether a site lies in the cell of a name (``step|south|west``), by its edges alone."""
    south, west, north, east = edges_of(cell)
    latitude, longitude = Decimal(site.latitude), Decimal(site.longitude)
    return south <= latitude < north and west <= longitude < east


@cache
def edges_of(cell: str) -> tuple[Decimal, Decimal, Decimal, Decimal]:
    """Return south, west, north and east of the cell of a name, as its edges say."""
    if cell == "root":
        return Decimal(-90), Decimal(-180), Decimal(91), Decimal(181)
    step, south, west = (Decimal(part) for part in cell.split("|"))
    return south, west, south + step, west + step


def candidates(chapters: list[Chapter]) -> Iterator[tuple[str, set[str], set[str]]]:
    """Yield for each record shown last: its household, and those the attacker must still suspect.

    First of the attacker who compares places: every household with a site inside every cell that
    was ever published for the record. Then of the one who also knows the rules and everybody's
    wish, and so takes away whoever must be shown in another cell today.
    """
    last = chapters[-1]
    groups: dict[str, set[str]] = defaultdict(set)
    for key, cell in last.shown.items():
        groups[cell].add(last.sites[key].unit)
    for key, cell in last.shown.items():
        cells = {one.shown[key] for one in chapters if key in one.shown}
        by_place = {
            site.unit
            for site in last.sites.values()
            if all(lies_in(site, known) for known in cells)
        }
        yield last.sites[key].unit, by_place, by_place & groups[cell]
