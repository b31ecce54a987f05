"""What a release shows of people and places, counted: for the steward, never published."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median
from uuid import UUID

from portal.blurring import GeneralisationRules, is_exact
from portal.publication.eligibility import eligible_visits
from portal.publication.models import SitePlacement
from portal.records.changes import TABLE_OF
from portal.records.fields import FIELDS
from portal.records.models import PublishedVisit, Release
from surveys.moderation.models import Decision
from surveys.people.models import Consent, ConsentPurpose
from surveys.visits.models import Visit

_ACCEPTED = (Decision.ACCEPTED, Decision.ACCEPTED_WITH_CHANGE)


@dataclass(frozen=True)
class SmallestGroup:
    """The group of places of a class that the fewest households or institutions share."""

    place_class: str
    groups: int
    units: int
    needed: int

    @property
    def is_large_enough(self) -> bool:
        """Tell whether even this group has what the rules ask for."""
        return self.units >= self.needed


@dataclass(frozen=True)
class ConsentCheck:
    """Visits of a release, and those whose recorder's consent was not in force on its date."""

    visits: int
    without: int


@dataclass(frozen=True)
class PrivacyReport:
    """The figures of one release.

    Parameters
    ----------
    rows_by_level
        For each kind of record, shown rows by level of the grid; 0 has no coordinates, 6 is exact.
    smallest_groups
        One for each class of places that is shown in cells.
    median_uncertainty_m
        Over the visits that have coordinates [m].
    hidden_rows
        For each kind of record, rows taken out of sight since their group became too small.
    held_back
        Visits accepted by the release's date, with consent then and still accepted, that it
        doesn't show, since too few share their place.
    consents
        Checked again now, against the consents as they were on the release's date.
    fields
        For each collection the columns that are published.
    """

    release: int
    rows_by_level: dict[str, dict[int, int]]
    smallest_groups: tuple[SmallestGroup, ...]
    median_uncertainty_m: float | None
    hidden_rows: dict[str, int]
    held_back: int
    consents: ConsentCheck
    fields: dict[str, tuple[str, ...]]

    @property
    def keeps_its_promises(self) -> bool:
        """Tell whether every group is large enough and every consent was in force."""
        return not self.consents.without and all(
            group.is_large_enough for group in self.smallest_groups
        )


def privacy_report(release: Release) -> PrivacyReport:
    """Count what a release shows; nothing is changed."""
    visits = PublishedVisit.objects.at(release.number)
    shown = set(visits.values_list("id", flat=True))
    uncertainties = visits.filter(uncertainty_m__isnull=False)
    return PrivacyReport(
        release=release.number,
        rows_by_level={kind: _by_level(kind, release) for kind in TABLE_OF},
        smallest_groups=tuple(_smallest_groups(release)),
        median_uncertainty_m=_median(uncertainties.values_list("uncertainty_m", flat=True)),
        hidden_rows={
            kind: table.objects.standing(release.number).filter(hidden=True).count()
            for kind, table in TABLE_OF.items()
        },
        held_back=_held_back(release, shown),
        consents=_consents(release, shown),
        fields={name: tuple(field.name for field in fields) for name, fields in FIELDS.items()},
    )


def _by_level(kind: str, release: Release) -> dict[int, int]:
    levels = TABLE_OF[kind].objects.at(release.number).values_list("cell_level", flat=True)
    return dict(sorted(Counter(levels.iterator()).items()))


def _smallest_groups(release: Release) -> Iterable[SmallestGroup]:
    rules = GeneralisationRules.from_dict(release.rules)
    cells = dict(PublishedVisit.objects.at(release.number).values_list("site_id", "cell"))
    groups: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for placement in SitePlacement.objects.filter(site_id__in=cells):
        if is_exact(cells[placement.site_id]):
            continue
        groups[placement.place_class][cells[placement.site_id]].add(placement.unit)
    for place_class, members in sorted(groups.items()):
        yield SmallestGroup(
            place_class=place_class,
            groups=len(members),
            units=min(map(len, members.values())),
            needed=rules.units_to_show(place_class),
        )


def _median(numbers: Iterable[int]) -> float | None:
    found = list(numbers)
    return float(median(found)) if found else None


def _held_back(release: Release, shown: set[UUID]) -> int:
    accepted = eligible_visits(release.issued_at).filter(
        reviews__decision__in=_ACCEPTED, reviews__decided_at__lte=release.issued_at
    )
    public_ids = accepted.distinct().values_list("public_id", flat=True)
    return sum(public_id not in shown for public_id in public_ids)


def _consents(release: Release, shown: set[UUID]) -> ConsentCheck:
    consenting = Consent.objects.in_force(ConsentPurpose.PUBLISH, release.issued_at)
    with_consent = Visit.objects.filter(participant__in=consenting.values("participant"))
    known = set(with_consent.values_list("public_id", flat=True))
    return ConsentCheck(visits=len(shown), without=len(shown - known))
