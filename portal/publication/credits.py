"""Who is credited for a release: groups by agreement, for what is shown of them now."""

from django.db.models import Count

from portal.records.models import PublishedVisit, Release
from surveys.visits.models import Visit


def credit_groups(release: Release) -> None:
    """Credit code, name and visits of the groups that agreed to be named and are shown now.

    What was withdrawn or hidden since counts no longer: it would tell whose it was.
    """
    shown = PublishedVisit.objects.at(release.number).values("id")
    visits = Visit.objects.filter(public_id__in=shown, group__named_publicly=True)
    counted = visits.values_list("group__code", "group__name").annotate(visits=Count("pk"))
    release.credits = [
        {"code": code, "name": name, "visits": visits}
        for code, name, visits in counted.order_by("group__code")
    ]
    release.save(update_fields=["credits"])
