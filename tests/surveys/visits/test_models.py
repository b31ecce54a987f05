"""Which pits of a visit are its own of today."""

import pytest

from tests.factories.private import PitFactory, VisitFactory

pytestmark = pytest.mark.django_db


def test_current_pits_are_those_of_the_newest_revision_by_number() -> None:
    visit = VisitFactory.create(revision=2)
    for revision, number in ((1, 1), (2, 2), (1, 2), (2, 1), (1, 3)):
        PitFactory.create(visit=visit, revision=revision, number=number)
    PitFactory.create(revision=2)

    found = [(pit.revision, pit.number) for pit in visit.current_pits()]

    assert found == [(2, 1), (2, 2)]


def test_visit_without_pits_has_none() -> None:
    assert list(VisitFactory.create().current_pits()) == []
