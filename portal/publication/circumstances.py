"""What decides how finely sites are shown at an instant: rules, sensitive finds, permissions."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import F

from portal.blurring import GeneralisationRules
from portal.publication.columns import last_number
from surveys.protocol.queries import sensitive_taxa
from surveys.sites.models import Site
from surveys.sites.permissions import may_be_exact
from surveys.sites.queries import permitting
from surveys.visits.models import Count, Visit, VisitState


@dataclass(frozen=True)
class Circumstances:
    """The circumstances of all sites at an instant.

    Parameters
    ----------
    rules
        The rules of generalisation.
    taxon_categories
        By site, the category of the most sensitive taxon found there.
    permitted
        Sites that everybody concerned lets be shown where they are.
    """

    rules: GeneralisationRules
    taxon_categories: Mapping[int, int] = field(default_factory=dict)
    permitted: frozenset[int] = frozenset()

    def is_exact(self, site: Site) -> bool:
        """Tell whether a site is shown where it is; a sensitive find goes before permission."""
        category = self.taxon_categories.get(site.pk)
        floors = self.rules.taxon_floors
        not_sensitive = category is None or floors[category] == max(floors.values())
        return site.pk in self.permitted and may_be_exact(site) and not_sensitive


def circumstances_at(at: datetime, rules: GeneralisationRules) -> Circumstances:
    """Return the circumstances of all sites."""
    return Circumstances(rules, _taxon_categories(at), _permitted(at))


def _taxon_categories(at: datetime) -> dict[int, int]:
    """Return by site the category of the most sensitive taxon in its accepted visits."""
    categories = sensitive_taxa(at)
    found = Count.objects.filter(
        taxon__in=categories,
        phase__pit__visit__state=VisitState.ACCEPTED,
        phase__pit__revision=F("phase__pit__visit__revision"),
    ).select_related("phase__pit__visit")
    by_site: dict[int, int] = {}
    for count in found.prefetch_related("determinations"):
        if last_number(count):
            site, category = count.phase.pit.visit.site_id, categories[count.taxon]
            by_site[site] = min(category, by_site.get(site, category))
    return by_site


def _permitted(at: datetime) -> frozenset[int]:
    """Return the sites that their owner and everybody who recorded there lets be shown."""
    given = permitting(at)
    concerned: dict[int, set[int]] = defaultdict(set)
    for site, owner in Site.objects.filter(pk__in=given).values_list("pk", "owner_id"):
        concerned[site].add(owner)
    recorders = Visit.objects.filter(site__in=given, state=VisitState.ACCEPTED)
    for site, participant in recorders.values_list("site_id", "participant_id"):
        concerned[site].add(participant)
    return frozenset(site for site, people in concerned.items() if people <= given[site])
