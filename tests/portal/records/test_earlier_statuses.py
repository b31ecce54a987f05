"""Counts published before there was a status get one, judged within their step and release."""

from datetime import UTC, datetime
from importlib import import_module
from typing import Any
from uuid import uuid4

import pytest
from django.apps import apps

from portal.records.models import PublishedCount, PublishedPit
from tests.factories.published import PublishedVisitFactory, ReleaseFactory, count_of, pit_of

pytestmark = pytest.mark.django_db

ADULT, YOUNG = {"stage": "adult"}, {"stage": "juvenile"}


@pytest.fixture
def pit() -> PublishedPit:
    for number in (1, 2):
        ReleaseFactory.create(number=number, issued_at=datetime(2025, number, 1, tzinfo=UTC))
    return pit_of(PublishedVisitFactory.create())


def line(pit: PublishedPit, phase: Any, number: int | None, **columns: Any) -> PublishedCount:
    state = "not_entered" if number is None else "counted"
    return count_of(
        pit,
        phase_id=phase,
        number=number,
        number_recorded=number,
        state=state,
        occurrence_status="present" if number else None,
        **columns,
    )


def judged() -> list[tuple[int, int | None, int | None, str | None]]:
    import_module("portal.migrations.0005_occurrence_status").judge_all(apps, None)
    rows = PublishedCount.objects.order_by("since_release", "stage")
    return list(rows.values_list("since_release", "until_release", "number", "occurrence_status"))


def test_zeros_are_absences_where_nothing_was_found(pit: PublishedPit) -> None:
    phase = uuid4()
    line(pit, phase, 0, **ADULT)
    line(pit, phase, 0, **YOUNG)

    assert judged() == [(1, None, 0, "absent"), (1, None, 0, "absent")]


@pytest.mark.parametrize("beside", [3, None])
def test_zero_beside_a_find_or_a_blank_is_no_absence(pit: PublishedPit, beside: int | None) -> None:
    phase = uuid4()
    line(pit, phase, 0, **ADULT)
    line(pit, phase, beside, **YOUNG)

    assert judged()[0] == (1, None, 0, None)


def test_version_is_cut_where_its_sibling_changes_what_it_means(pit: PublishedPit) -> None:
    phase = uuid4()
    zero = line(pit, phase, 0, **ADULT)
    sibling = line(pit, phase, 0, until_release=2, **YOUNG)
    line(pit, phase, 4, since_release=2, id=sibling.id, **YOUNG)

    found = judged()

    assert found == [
        (1, 2, 0, "absent"),
        (1, 2, 0, "absent"),
        (2, None, 0, None),
        (2, None, 4, "present"),
    ]
    versions = PublishedCount.objects.filter(id=zero.id).order_by("since_release")
    assert [row.modified_at.month for row in versions] == [zero.modified_at.month, 2]
