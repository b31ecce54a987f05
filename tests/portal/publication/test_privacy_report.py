"""The privacy report: counted again here by hand from a village of seven gardens."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from portal.publication.models import SitePlacement
from portal.publication.privacy_report import privacy_report
from portal.records.models import PublishedVisit, Release
from surveys.people.models import Consent
from tests.portal.publication.villages import household, release, village, village_group

pytestmark = pytest.mark.django_db


@pytest.fixture
def made() -> Release:
    """Return a release of seven gardens in one cell; an eighth lies alone, far away."""
    group = village_group()
    village(group, range(7))
    household(group, 8, site={"latitude": "54.1"})
    return release(1)


def test_rows_groups_and_uncertainty_are_counted(made: Release) -> None:
    report = privacy_report(made)

    visit = PublishedVisit.objects.all()[0]
    (group,) = report.smallest_groups
    assert report.rows_by_level["visit"] == {visit.cell_level: 7}
    assert (group.place_class, group.groups, group.units, group.needed) == ("household", 1, 7, 3)
    assert report.median_uncertainty_m == visit.uncertainty_m
    assert report.hidden_rows == {"visit": 0, "pit": 0, "occurrence": 0}
    assert (report.consents.visits, report.consents.without) == (7, 0)
    assert report.keeps_its_promises


def test_group_too_small_breaks_the_promise(made: Release) -> None:
    units = list(SitePlacement.objects.order_by("site_id"))
    for placement in units[2:]:
        SitePlacement.objects.filter(pk=placement.pk).update(unit=units[0].unit)

    report = privacy_report(made)

    assert report.smallest_groups[0].units == 2
    assert not report.keeps_its_promises


def test_consent_that_was_not_in_force_breaks_the_promise(made: Release) -> None:
    Consent.objects.filter(participant__code="P03").update(decision="refused")

    report = privacy_report(made)

    assert report.consents.without == 1
    with pytest.raises(CommandError, match="breaks a promise"):
        call_command("privacyreport", stdout=StringIO())


def test_hidden_rows_are_counted_and_not_shown(made: Release) -> None:
    PublishedVisit.objects.filter(pk__in=PublishedVisit.objects.values("pk")[:2]).update(
        hidden=True
    )

    report = privacy_report(made)

    assert report.hidden_rows["visit"] == 2
    assert sum(report.rows_by_level["visit"].values()) == 5


def test_command_prints_the_figures(made: Release) -> None:
    printed = StringIO()

    call_command("privacyreport", "--release", str(made.number), stdout=printed)

    text = printed.getvalue()
    assert "smallest of 1 household groups: 7 sharing, 3 needed" in text
    assert "consents checked: 7 visits, 0 without consent" in text
    assert "fields of visits" in text


def test_unknown_release_is_refused() -> None:
    with pytest.raises(CommandError, match="no such release"):
        call_command("privacyreport", "--release", "4", stdout=StringIO())
