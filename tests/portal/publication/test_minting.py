"""Public ids are given once, random, and move with a correction."""

from uuid import UUID

import pytest

from portal.publication.minting import mint_ids, random_id
from surveys.visits.models import Count, Phase, Pit, Visit
from tests.factories.private import CountFactory, PhaseFactory, PitFactory, VisitFactory
from tests.portal.publication.villages import fixed_mint, household, village_group


def minted(visit: Visit) -> list[UUID | None]:
    rows: list[Visit | Pit | Phase | Count] = [visit]
    for pit in visit.pits.all():
        rows.append(pit)
        for phase in pit.phases.all():
            rows += [phase, *phase.counts.all()]
    return [visit.site.public_id, *(row.public_id for row in rows)]


def test_random_ids_are_of_version_4_and_all_different() -> None:
    ids = {random_id("same key") for _ in range(500)}

    # RFC 9562, 5.4: version 4 is random but for the version and variant bits.
    assert len(ids) == 500
    assert {one.version for one in ids} == {4}


@pytest.mark.django_db
def test_every_part_gets_an_id_of_its_own_and_keeps_it() -> None:
    visit = household(village_group(), 1).visit

    mint_ids(visit, random_id)
    first = minted(Visit.objects.get(pk=visit.pk))
    mint_ids(Visit.objects.get(pk=visit.pk), random_id)

    assert None not in first
    assert len(set(first)) == len(first) == 2 + 2 * (1 + 2 + 3)
    assert minted(Visit.objects.get(pk=visit.pk)) == first


@pytest.mark.django_db
def test_keys_tell_all_parts_of_all_visits_apart() -> None:
    group = village_group()
    for number in (1, 2):
        mint_ids(household(group, number).visit, fixed_mint)

    ids = [one for visit in Visit.objects.all() for one in minted(visit)]

    assert len(set(ids)) == len(ids)


@pytest.mark.django_db
def test_pits_of_an_earlier_revision_get_none() -> None:
    visit = VisitFactory.create(revision=2)
    old = CountFactory.create(
        phase=PhaseFactory.create(pit=PitFactory.create(visit=visit, revision=1))
    )
    new = CountFactory.create(
        phase=PhaseFactory.create(pit=PitFactory.create(visit=visit, revision=2))
    )

    mint_ids(visit, random_id)

    assert Count.objects.get(pk=old.pk).public_id is None
    assert Count.objects.get(pk=new.pk).public_id is not None
