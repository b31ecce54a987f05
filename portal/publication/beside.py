"""What stands beside the rows of a release: codes of groups, names, words, each with company.

Judged before rows are written, so that a release shows nothing that it would take back.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import F, QuerySet

from portal.blurring import Generalisation, GeneralisationRules, is_exact
from portal.blurring.company import PlaceGroup, thin_places, too_few_unnamed
from portal.publication.naming import Recorder, recorder_of, recorders_to_name
from portal.publication.placing import class_of, unit_of
from portal.publication.wording import AS_RECORDED, Holding, Wording, wordings
from surveys.visits.models import Pit, Visit


@dataclass(frozen=True)
class Beside:
    """What may stand beside the rows of a release.

    Parameters
    ----------
    groups
        Private keys of the partner groups whose code may stand on rows.
    recorders
        By participant who agreed to be named.
    unnamed
        Groups of places in which nobody is named, since too few would be left unnamed.
    wordings
        By group of places the words that too few hold there.
    """

    groups: set[int] = field(default_factory=set)
    recorders: Mapping[int, Recorder] = field(default_factory=dict)
    unnamed: set[PlaceGroup] = field(default_factory=set)
    wordings: Mapping[PlaceGroup, Wording] = field(default_factory=dict)

    def group_code(self, visit: Visit) -> str | None:
        """Return the group's code, if it may be shown."""
        return visit.group.code if visit.group_id in self.groups else None

    def recorder(self, visit: Visit, cell: str) -> Recorder | None:
        """Return who is named for a visit to a site shown in a cell."""
        if (class_of(visit.site), cell) in self.unnamed:
            return None
        return recorder_of(visit, self.recorders)

    def wording(self, visit: Visit, cell: str) -> Wording:
        """Return which words of a visit to a site shown in a cell become others."""
        return self.wordings.get((class_of(visit.site), cell), AS_RECORDED)


def beside_rows(
    shown: QuerySet[Visit], placed: Generalisation, rules: GeneralisationRules, at: datetime
) -> Beside:
    """Return what may stand beside the rows of visits about to be shown."""
    recorders = recorders_to_name(at)
    agreed: set[int] = set()
    owned: list[tuple[int, PlaceGroup, str]] = []
    naming: list[tuple[PlaceGroup, str, bool]] = []
    for visit in shown:
        if visit.group.named_publicly:
            agreed.add(visit.group_id)
        cell = placed.places[str(visit.site_id)].cell
        if is_exact(cell):  # nothing is left to give away
            continue
        place_group, unit = (class_of(visit.site), cell), unit_of(visit.site)
        owned.append((visit.group_id, place_group, unit))
        naming.append((place_group, unit, recorder_of(visit, recorders) is not None))
    return Beside(
        groups=agreed - thin_places(owned, rules.keep_at).keys(),
        recorders=recorders,
        unnamed=too_few_unnamed(naming, rules.units_to_show),
        wordings=wordings(_held(shown, placed), rules),
    )


def _held(shown: QuerySet[Visit], placed: Generalisation) -> Iterable[Holding]:
    places: dict[int, tuple[PlaceGroup, str]] = {}
    for visit in shown:
        cell = placed.places[str(visit.site_id)].cell
        if not is_exact(cell):
            places[visit.site_id] = (class_of(visit.site), cell), unit_of(visit.site)
    pits = Pit.objects.filter(visit__in=shown.values("pk"), revision=F("visit__revision"))
    for site, habitat, management in pits.values_list("visit__site_id", "habitat", "management"):
        if site in places:
            yield *places[site], "habitat", [habitat]
            yield *places[site], "management", management or []
