"""Random histories: sites join, leave, change and are shown exactly for a while, in few cells."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import product

from hypothesis import strategies as st

from portal.blurring import (
    Generalisation,
    GeneralisationRules,
    PrivateSite,
    PublicPlace,
    exact_place,
    generalise,
    place_class,
)
from tests.portal.blurring.examples import home

RELEASES = 4
# South-western corners [1e-7 degree]: a common place, one before the antimeridian, both poles.
_CORNERS = [
    (526_000_000, -5_000_000),
    (-169_000_000, 1_795_000_000),
    (893_890_000, 100_000_000),
    (-900_000_000, -1_800_000_000),
]
_STEPS_E7 = [5_000_000, 1_000_000, 100_000, 10_000]  # 0.5, 0.1, 0.01 and 0.001 degree
# Few draws for a site keep the tests quick: the choices are multiplied out beforehand.
_BRANCHES = range(1 << len(_STEPS_E7))
_JITTERS_E7 = [0, 1, 4_321, 9_999]
_UNITS = [f"unit {count}" for count in range(31)]
_SPOTS = list(product(_BRANCHES, _JITTERS_E7, _UNITS))

_KINDS = ["private_garden"] * 6 + ["allotment", "farm", "farm", "school_ground", "reserve", "other"]
_CONSENTS = ["standard"] * 4 + ["fine", "fine", "coarse", "region", "no_coordinates"]
_UNCERTAINTIES_M = [5, 60, 500, None]
_TAXON_CATEGORIES = [None] * 8 + [4, 3, 2, 1]
_CIRCUMSTANCES = list(product(_KINDS, _CONSENTS, _UNCERTAINTIES_M, _TAXON_CATEGORIES))

_STAYS = [(joins, leaves) for joins in range(RELEASES) for leaves in range(joins + 1, 2 * RELEASES)]

# From which release on other circumstances hold (9: never), and in which ones the exact place.
_TURNS = [9, 9, 1, 2, 3]
_EXACT = [range(0)] * 6 + [range(4), range(1, 3), range(2)]
_TURNINGS = list(product(_TURNS, _EXACT))

_SITES = st.tuples(
    st.sampled_from(_SPOTS),
    st.sampled_from(_CIRCUMSTANCES),
    st.sampled_from(_STAYS),
    st.sampled_from(_CIRCUMSTANCES),
    st.sampled_from(_TURNINGS),
)


@dataclass(frozen=True)
class Stay:
    """A site, the releases it is part of, what it becomes, and when it is shown where it is."""

    site: PrivateSite
    joins: int
    leaves: int
    later: PrivateSite
    turns: int
    exact: range

    def at(self, release: int) -> PrivateSite:
        """Return the site as it is at a release."""
        return self.later if release >= self.turns else self.site


@dataclass(frozen=True)
class Shown:
    """One release: the sites that were grouped, their result, and every public place by key."""

    sites: list[PrivateSite]
    result: Generalisation
    places: dict[str, tuple[str, PublicPlace]]


@dataclass(frozen=True)
class History:
    """Sites with the releases they are part of, and the rules of the time."""

    stays: tuple[Stay, ...]
    rules: GeneralisationRules

    def releases(self) -> Iterator[tuple[list[PrivateSite], Generalisation]]:
        """Run the releases one after another; sites shown where they are take no part."""
        for shown in self.shown():
            yield shown.sites, shown.result

    def shown(self) -> Iterator[Shown]:
        """Run the releases; a place that no longer holds becomes another site under a new key."""
        opened: dict[str, frozenset[str]] = {}
        last: dict[str, tuple[str, str]] = {}
        times: dict[str, int] = {}
        for release in range(RELEASES):
            grouped: list[tuple[str, PrivateSite]] = []
            exact: list[tuple[str, PrivateSite]] = []
            for stay in self.stays:
                if not stay.joins <= release < stay.leaves:
                    continue
                site, is_exact = stay.at(release), release in stay.exact
                if not self._holds(site, last.get(site.key), opened, is_exact=is_exact):
                    times[site.key] = times.get(site.key, 0) + 1
                (exact if is_exact else grouped).append((stay.site.key, self._named(site, times)))
            sites = [site for _, site in grouped]
            result = generalise(sites, opened, self.rules)
            opened = result.opened
            for key, site in grouped:
                last[key] = place_class(site.place_kind), home(site, opened, self.rules)
            places = {
                site.key: (place_class(site.place_kind), result.places[site.key])
                for site in sites
                if site.key in result.places
            }
            for key, site in exact:
                place = exact_place(site, self.rules)
                last[key] = place_class(site.place_kind), place.cell
                places[site.key] = place_class(site.place_kind), place
            yield Shown(sites, result, places)

    def _holds(
        self,
        site: PrivateSite,
        last: tuple[str, str] | None,
        opened: dict[str, frozenset[str]],
        *,
        is_exact: bool,
    ) -> bool:
        """Tell whether a site is where it was, but for cells that open now."""
        if last is None:
            return True
        group_class, cell = last
        if group_class != place_class(site.place_kind) or is_exact != cell.startswith("exact"):
            return False
        return is_exact or home(site, opened, self.rules) == cell

    @staticmethod
    def _named(site: PrivateSite, times: dict[str, int]) -> PrivateSite:
        return replace(site, key=f"{site.key} as {times.get(site.key, 0)}")


def _degrees(value_e7: int) -> Decimal:
    return Decimal(value_e7).scaleb(-7)


def _position(corner: tuple[int, int], branch: int, jitter: int) -> tuple[Decimal, Decimal]:
    """Take the first or second child cell at each level, as the bits of ``branch`` say."""
    offset = jitter + sum(step for bit, step in enumerate(_STEPS_E7) if branch >> bit & 1)
    south, west = corner
    longitude = west + (offset if branch & 1 else jitter)
    wrapped = longitude - 3_600_000_000 if longitude > 1_800_000_000 else longitude
    return _degrees(min(south + offset, 900_000_000)), _degrees(wrapped)


@st.composite
def histories(draw: st.DrawFn) -> History:
    """Draw a history of up to sixty sites."""
    keep_at = draw(st.integers(2, 3))
    rules = GeneralisationRules(
        keep_at=keep_at,
        open_at=keep_at + draw(st.integers(0, 2)),
        institutions_at=draw(st.integers(1, 2)),
    )
    corner = draw(st.sampled_from(_CORNERS))
    number = draw(st.integers(1, 60))
    drawn = draw(st.lists(_SITES, min_size=number, max_size=number))
    stays = tuple(_stay(f"site {count}", corner, one) for count, one in enumerate(drawn))
    return History(stays, rules)


_Circumstances = tuple[str, str, int | None, int | None]
_Drawn = tuple[
    tuple[int, int, str], _Circumstances, tuple[int, int], _Circumstances, tuple[int, range]
]


def _stay(key: str, corner: tuple[int, int], drawn: _Drawn) -> Stay:
    (branch, jitter, unit), circumstances, stay, others, turning = drawn
    latitude, longitude = _position(corner, branch, jitter)
    site, later = (
        PrivateSite(key, unit, latitude, longitude, *one) for one in (circumstances, others)
    )
    return Stay(site, *stay, later, *turning)
