"""Who lets a site be shown where it is."""

from collections import defaultdict
from datetime import datetime

from django.db.models import QuerySet

from surveys.sites.models import ExactPermission, Site


def permitting(at: datetime) -> dict[int, set[int]]:
    """Return by site the participants whose permission for the exact place is in force."""
    found: dict[int, set[int]] = defaultdict(set)
    pairs = ExactPermission.objects.in_force(at).values_list("site_id", "participant_id")
    for site, participant in pairs:
        found[site].add(participant)
    return dict(found)


def blurred_neighbours(site: Site, at: datetime) -> QuerySet[Site]:
    """Return the other sites of a site's household without such a permission."""
    permitted = ExactPermission.objects.in_force(at).values("site")
    household = Site.objects.filter(
        group_id=site.group_id, owner__household=site.owner.household
    ).exclude(pk=site.pk)
    return household.exclude(pk__in=permitted).order_by("code")
