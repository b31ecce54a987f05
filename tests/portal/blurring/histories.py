"""Random histories: sites that join and leave over a few releases, crowded into few cells."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import product

from hypothesis import strategies as st

from portal.blurring import Generalisation, GeneralisationRules, PrivateSite, generalise

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

_SITES = st.tuples(
    st.sampled_from(_SPOTS), st.sampled_from(_CIRCUMSTANCES), st.sampled_from(_STAYS)
)


@dataclass(frozen=True)
class Stay:
    """A site and the releases it is part of."""

    site: PrivateSite
    joins: int
    leaves: int


@dataclass(frozen=True)
class History:
    """Sites with the releases they are part of, and the rules of the time."""

    stays: tuple[Stay, ...]
    rules: GeneralisationRules

    def sites_at(self, release: int) -> list[PrivateSite]:
        """Return the sites that are part of a release."""
        return [stay.site for stay in self.stays if stay.joins <= release < stay.leaves]

    def releases(self) -> Iterator[tuple[list[PrivateSite], Generalisation]]:
        """Run the releases one after another."""
        opened: dict[str, frozenset[str]] = {}
        for release in range(RELEASES):
            sites = self.sites_at(release)
            result = generalise(sites, opened, self.rules)
            opened = result.opened
            yield sites, result


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
    stays = tuple(_stay(f"site {count}", corner, *one) for count, one in enumerate(drawn))
    return History(stays, rules)


def _stay(
    key: str,
    corner: tuple[int, int],
    spot: tuple[int, int, str],
    circumstances: tuple[str, str, int | None, int | None],
    stay: tuple[int, int],
) -> Stay:
    branch, jitter, unit = spot
    latitude, longitude = _position(corner, branch, jitter)
    kind, consent, uncertainty_m, taxon_category = circumstances
    site = PrivateSite(key, unit, latitude, longitude, kind, consent, uncertainty_m, taxon_category)
    return Stay(site, *stay)
