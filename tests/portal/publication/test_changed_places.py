"""Places that no longer hold go at once and come back, under other ids, with the next release."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest

from portal.publication.changed_places import (
    correct_place,
    end_exact_place,
    withdraw_coarsened,
    withdraw_outdated,
)
from portal.publication.models import SitePlacement
from portal.publication.withdrawal import ReasonClass
from portal.records.changes import TABLE_OF
from portal.records.models import PublishedVisit, Tombstone
from surveys.audit.models import AuditEntry
from surveys.people.models import Group
from surveys.protocol.models import TaxonSensitivity
from surveys.sites.models import Site
from surveys.sites.operations import CorrectedPlace
from surveys.sites.permissions import Term, permit_exact_place
from surveys.visits.models import Count
from tests.factories.private import CountFactory, ParticipantFactory, VisitFactory
from tests.portal.publication.villages import (
    CELL,
    FIRST_AT,
    Household,
    fixed_mint,
    release,
    village,
    village_group,
)

BETWEEN = FIRST_AT + timedelta(days=1)
FARM = {"place_kind": "farm", "place_detail": "fine"}

pytestmark = pytest.mark.django_db


@pytest.fixture
def group() -> Group:
    return village_group()


def place_of(site: Site) -> tuple[str, int] | None:
    """Return the cell and level that the newest release shows for a site."""
    site.refresh_from_db()
    if site.public_id is None:
        return None
    rows = PublishedVisit.objects.current().filter(hidden=False, site_id=site.public_id)
    return rows.values_list("cell", "cell_level").first()


def ids_of(home: Household) -> set[UUID]:
    rows = [table.objects.filter(visit_id=home.visit.public_id) for table in TABLE_OF.values()]
    return {record for one in rows for record in one.values_list("id", flat=True)}


def corrected(site: Site, **changes: Any) -> int:
    known = {name: getattr(site, name) for name in CorrectedPlace.__dataclass_fields__}
    place = CorrectedPlace(**known | changes)
    return correct_place(site=site, place=place, at=BETWEEN, by="group QVD")


def coarser(site: Site) -> int:
    site.place_detail, site.place_detail_at = "coarse", BETWEEN
    site.save()
    return withdraw_coarsened(group=site.group, since=BETWEEN)


Change = Callable[[Site], int]
CHANGES: list[tuple[str, Change]] = [
    ("coarser wish", coarser),
    ("coarser wish by hand", lambda site: corrected(site, place_detail="region")),
    ("another place", lambda site: corrected(site, latitude=Decimal("52.8899999"))),
    ("another kind", lambda site: corrected(site, place_kind="farm")),
]


@pytest.mark.parametrize("change", [pytest.param(one, id=name) for name, one in CHANGES])
def test_changed_place_goes_at_once_and_comes_back_under_other_ids(
    group: Group, change: Change
) -> None:
    homes = village(group, range(6))
    release(1, mint=fixed_mint)
    for home in homes:
        home.visit.refresh_from_db()
    moved, old_ids = homes[0], ids_of(homes[0])
    moved.site.refresh_from_db()
    old_site = moved.site.public_id
    assert old_site is not None

    withdrawn = change(moved.site)

    assert withdrawn == len(old_ids)
    assert not PublishedVisit.objects.filter(site_id=old_site).exists()
    assert set(Tombstone.objects.values_list("id", flat=True)) == old_ids
    assert place_of(homes[1].site) == (CELL, 4), "the others have enough left"
    release(2, mint=fixed_mint)
    moved.visit.refresh_from_db()
    moved.site.refresh_from_db()
    assert moved.visit.state == "accepted"
    assert moved.site.public_id != old_site
    assert not ids_of(moved) & old_ids
    entry = AuditEntry.objects.get(action="public place withdrawn")
    assert entry.subject_key == f"QVD/{moved.site.code}"


def test_wish_that_the_published_place_fulfils_changes_nothing(group: Group) -> None:
    homes = village(group, range(3), site={"place_detail": "region"})
    release(1)
    assert place_of(homes[0].site) is not None

    homes[0].site.place_detail = "coarse"
    assert corrected(homes[0].site, place_detail="coarse") == 0

    assert not Tombstone.objects.exists()


def test_group_left_too_small_is_hidden_with_it(group: Group) -> None:
    homes = village(group, range(5))
    release(1)
    corrected(homes[0].site, place_detail="region")
    corrected(homes[1].site, place_detail="region")
    assert place_of(homes[2].site) == (CELL, 4)

    corrected(homes[2].site, place_detail="region")

    assert place_of(homes[3].site) is None


def test_release_takes_out_what_nobody_took_out_before(group: Group) -> None:
    """Rules, sensitive finds and terms change without anybody calling."""
    homes = village(group, range(6))
    release(1)
    Site.objects.filter(pk=homes[0].site.pk).update(place_detail="region")

    release(2)

    assert set(Tombstone.objects.values_list("reason_class", flat=True)) == {"place_protected"}
    assert place_of(homes[1].site) == (CELL, 4)
    assert place_of(homes[0].site) is None, "one alone in the coarser cell"


def permit(site: Site, at: datetime, days: int = 365, participant: Any = None) -> None:
    permit_exact_place(
        site=site,
        participant=participant or site.owner,
        term=Term(at.date(), at.date() + timedelta(days=days), "paper_form"),
        at=at,
        by="group QVD",
    )


def test_permitted_site_is_shown_where_it_is_and_counts_for_nobody(group: Group) -> None:
    homes = village(group, range(3), site=FARM)
    permit(homes[0].site, FIRST_AT - timedelta(days=1))

    release(1)

    assert place_of(homes[0].site) == ("exact|52.88123|-0.72346", 6)
    assert place_of(homes[1].site) is None, "two others are too few for a group"
    row = PublishedVisit.objects.get(cell_level=6)
    assert (row.uncertainty_m, row.precision_deg, row.footprint_wkt) == (5, 0.00001, "")
    assert "permission" in row.information_withheld
    assert row.group_code is None or row.group_code == "QVD"


def test_finer_wish_waits_for_the_release_and_then_gives_other_ids(group: Group) -> None:
    """One who joins a cell that others opened would stand out there under an old id."""
    homes = village(group, range(10))
    lone = homes[0].site
    coarse = [home.site.pk for home in homes[:5]]
    Site.objects.filter(pk__in=coarse).update(place_detail="coarse")
    release(1)
    shown, before = place_of(lone), Site.objects.get(pk=lone.pk).public_id
    assert (shown, place_of(homes[9].site)) == (("0.1|52.8|-0.8", 3), (CELL, 4))

    assert corrected(lone, place_detail="standard") == 0
    assert place_of(lone) == shown
    release(2)

    assert place_of(lone) == (CELL, 4)
    assert lone.public_id != before


def test_new_permission_gives_other_ids_at_the_release(group: Group) -> None:
    homes = village(group, range(6), site=FARM)
    release(1)
    homes[0].site.refresh_from_db()
    before = homes[0].site.public_id
    permit(homes[0].site, BETWEEN)

    release(2)

    assert place_of(homes[0].site) == ("exact|52.88123|-0.72346", 6)
    assert homes[0].site.public_id != before
    assert set(Tombstone.objects.values_list("reason_class", flat=True)) == {"place_protected"}


def test_ended_permission_hides_the_rows_until_they_come_back_blurred(group: Group) -> None:
    homes = village(group, range(6), site=FARM)
    permit(homes[0].site, FIRST_AT - timedelta(days=1))
    release(1)
    homes[0].site.refresh_from_db()

    withdrawn = end_exact_place(site=homes[0].site, at=BETWEEN, by="group QVD")

    assert withdrawn > 0
    assert place_of(homes[0].site) is None
    release(2)
    shown = place_of(homes[0].site)
    assert shown is not None
    assert shown == place_of(homes[1].site)
    assert shown[1] <= 3
    assert not PublishedVisit.objects.filter(cell__startswith="exact").exists(), "in any release"


def test_permission_that_ran_out_is_noticed_by_the_release(group: Group) -> None:
    homes = village(group, range(6), site=FARM)
    permit(homes[0].site, FIRST_AT - timedelta(days=1), days=10)
    release(1)

    release(2)

    assert place_of(homes[0].site) == place_of(homes[1].site)
    assert not PublishedVisit.objects.filter(cell__startswith="exact").exists()


def test_everybody_who_recorded_at_the_site_must_permit_it(group: Group) -> None:
    homes = village(group, range(6), site=FARM)
    visitor = ParticipantFactory.create(group=group, household="other")
    VisitFactory.create(
        participant=visitor, site=homes[0].site, state="accepted", visited_on=date(2025, 4, 13)
    )
    permit(homes[0].site, FIRST_AT - timedelta(days=1))
    release(1)
    assert place_of(homes[0].site) == place_of(homes[1].site)

    permit(homes[0].site, BETWEEN, participant=visitor)
    release(2)

    assert place_of(homes[0].site) == ("exact|52.88123|-0.72346", 6)


def sensitive(name: str, category: int | None, at: datetime = BETWEEN) -> None:
    TaxonSensitivity.objects.create(
        scientific_name=name, category=category, author="S1", reason="Collectors.", made_at=at
    )


def find(home: Household, name: str, number: int) -> None:
    phase = Count.objects.filter(phase__pit__visit=home.visit)[0].phase
    CountFactory.create(phase=phase, taxon=name, number=number)


def test_sensitive_find_limits_all_rows_of_its_site(group: Group) -> None:
    homes = village(group, range(8))
    for home in homes[:3]:
        find(home, "Lumbricus rarus", 1)
    find(homes[3], "Lumbricus rarus", 0)
    VisitFactory.create(
        participant=homes[0].participant, site=homes[0].site, client_ref="V99", state="accepted"
    )
    release(1)
    assert place_of(homes[0].site) == (CELL, 4)
    sensitive("Lumbricus rarus", 2)

    withdraw_outdated(
        sites=Site.objects.all(), reason_class=ReasonClass.PLACE_PROTECTED, at=BETWEEN, by="S1"
    )

    assert [place_of(home.site) for home in homes[:4]] == [None, None, None, (CELL, 4)]
    release(2)
    homes[0].site.refresh_from_db()
    rows = PublishedVisit.objects.current().filter(site_id=homes[0].site.public_id)
    assert {row.cell_level for row in rows} <= {0, 1, 2, 3}
    assert len(rows) == 2, "every visit to the site"


def test_taxon_no_longer_sensitive_limits_nothing(group: Group) -> None:
    homes = village(group, range(6))
    find(homes[0], "Lumbricus rarus", 1)
    sensitive("Lumbricus rarus", 1, FIRST_AT - timedelta(days=2))
    sensitive("Lumbricus rarus", None, FIRST_AT - timedelta(days=1))

    release(1)

    assert place_of(homes[0].site) == (CELL, 4)


def test_sensitive_find_goes_before_permission(group: Group) -> None:
    homes = village(group, range(6), site=FARM)
    permit(homes[0].site, FIRST_AT - timedelta(days=3))
    find(homes[0], "Lumbricus rarus", 1)
    sensitive("Lumbricus rarus", 1, FIRST_AT - timedelta(days=2))

    release(1)

    assert not PublishedVisit.objects.filter(cell__startswith="exact").exists()
    assert SitePlacement.objects.exists()
