"""Which zeros are absences; eco:absentTaxa and the occurrences rest on the same answer."""

from typing import Any
from uuid import uuid4

import pytest

from portal.archive.absence import absent_names, occurrences_of, zeros_beside_finds
from portal.archive.edition import Edition, edition_of
from portal.archive.reading import StepTree
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    count_of,
    counts_of,
    pit_of,
)

pytestmark = pytest.mark.django_db

TERRESTRIS, RUBELLUS = "Lumbricus terrestris", "Lumbricus rubellus"


@pytest.fixture
def edition() -> Edition:
    return edition_of(ReleaseFactory.create())


def step_by_group(*numbers: int | str) -> StepTree:
    """Return a step of a kit whose lines hold every earthworm of a stage."""
    return StepTree(counts_of(pit_of(PublishedVisitFactory.create()), "hand_sort", numbers))


def step_by_name(*lines: tuple[str | None, int], protocol: str = "species-pit/1") -> StepTree:
    pit = pit_of(PublishedVisitFactory.create(protocol=protocol))
    phase_id = uuid4()
    shared: dict[str, Any] = {"phase_id": phase_id, "group": "unassigned"}
    return StepTree([count_of(pit, taxon=name, number=n, **shared) for name, n in lines])


@pytest.mark.parametrize(
    ("numbers", "occurrences", "zeros"),
    [
        ((0, 0, 0, 0), 4, 0),
        ((1, 0, 0, 2), 2, 2),
        ((0, 0, 0, 1), 1, 3),
        ((0, "not_looked_for", 0, 0), 0, 3),
        (("not_entered", 2, "not_entered", 0), 1, 1),
        (("not_entered",) * 4, 0, 0),
    ],
)
def test_zero_of_a_group_is_an_absence_only_where_the_whole_taxon_was_not_found(
    numbers: tuple[int | str, ...], occurrences: int, zeros: int
) -> None:
    step = step_by_group(*numbers)

    assert len(occurrences_of(step)) == occurrences
    assert len(zeros_beside_finds(step)) == zeros
    counted = [count.id for count in step.counts if count.state == "counted"]
    kept = occurrences_of(step) + zeros_beside_finds(step)
    assert sorted(count.id for count in kept) == sorted(counted)


@pytest.mark.parametrize(
    ("lines", "absent"),
    [
        ([(TERRESTRIS, 0), (RUBELLUS, 1)], [TERRESTRIS]),
        ([(TERRESTRIS, 0), (RUBELLUS, 0)], [TERRESTRIS, RUBELLUS]),
        ([(TERRESTRIS, 0), (None, 1)], []),
        ([(TERRESTRIS, 0), ("Lumbricus cf. terrestris", 1)], []),
        ([("Lumbricus", 0), (RUBELLUS, 1)], []),
        ([("Lumbricus", 1), (TERRESTRIS, 0)], []),
        ([("Lumbricus", 0), ("Aporrectodea longa", 1)], ["Lumbricus"]),
    ],
    ids=[
        "beside another species",
        "beside nothing",
        "beside an animal left coarse",
        "beside an animal left open",
        "genus beside its species",
        "species beside its genus",
        "genus beside another",
    ],
)
def test_name_is_absent_only_if_no_animal_of_it_could_stand_on_another_line(
    edition: Edition, lines: list[tuple[str | None, int]], absent: list[str]
) -> None:
    step = step_by_name(*lines)

    assert absent_names(edition, step.counts) == absent


@pytest.mark.parametrize(
    ("protocol", "absent"),
    [("species-pit/1", [TERRESTRIS]), ("contrast-pit/2", [TERRESTRIS, "Lumbricidae"])],
)
def test_coarse_taxon_is_absent_only_if_the_form_has_a_line_for_every_animal_of_it(
    edition: Edition, protocol: str, absent: list[str]
) -> None:
    step = step_by_name((TERRESTRIS, 0), (None, 0), protocol=protocol)

    assert absent_names(edition, step.counts) == absent
