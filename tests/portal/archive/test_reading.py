"""Rows of a release as visits with their pits and steps."""

from typing import Any

import pytest

from portal.archive.reading import LooseRowError, StepTree, visit_trees
from tests.factories.published import (
    PublishedCountFactory,
    PublishedPitFactory,
    PublishedVisitFactory,
    count_of,
    counts_of,
    pit_of,
    small_release,
)

pytestmark = pytest.mark.django_db


def test_tree_holds_every_row_once_in_the_order_of_ids() -> None:
    small = small_release()

    trees = list(visit_trees(1))

    pits = [pit for tree in trees for pit in tree.pits]
    counts = [count for pit in pits for step in pit.steps for count in step.counts]
    assert [tree.row.id for tree in trees] == sorted(visit.id for visit in small.visits)
    assert {pit.row.id for pit in pits} == {pit.id for pit in small.pits}
    assert len(pits) == len(small.pits)
    assert {count.id for count in counts} == {count.id for count in small.counts}
    assert len(counts) == len(small.counts)
    for tree in trees:
        assert [pit.row.id for pit in tree.pits] == sorted(pit.row.id for pit in tree.pits)
        assert {pit.row.visit_id for pit in tree.pits} == {tree.row.id}


def test_step_holds_the_counts_of_one_phase() -> None:
    small_release()

    for tree in visit_trees(1):
        for pit in tree.pits:
            assert len(pit.steps) == 2
            for step in pit.steps:
                assert len({(count.phase_id, count.method) for count in step.counts}) == 1
                assert {count.pit_id for count in step.counts} == {pit.row.id}


def test_rows_of_other_releases_and_hidden_rows_stay_out() -> None:
    PublishedVisitFactory.create(since_release=2)
    PublishedVisitFactory.create(since_release=1, until_release=2)
    hidden = PublishedVisitFactory.create(since_release=1, hidden=True)
    count_of(pit_of(hidden))
    standing = PublishedVisitFactory.create(since_release=2)

    shown = {tree.row.id for tree in visit_trees(2)}

    assert hidden.id not in shown
    assert standing.id in shown
    assert len(shown) == 2


def test_pit_without_counts_keeps_its_place() -> None:
    visit = PublishedVisitFactory.create()
    bare = pit_of(visit)
    count_of(pit_of(visit))

    (tree,) = visit_trees(1)

    steps = {pit.row.id: len(pit.steps) for pit in tree.pits}
    assert len(steps) == 2
    assert steps[bare.id] == 0


@pytest.mark.parametrize("loose", [PublishedPitFactory, PublishedCountFactory])
def test_row_without_its_parent_stops_the_release(loose: Any) -> None:
    PublishedVisitFactory.create()
    loose.create()

    with pytest.raises(LooseRowError, match=r"are published, but it is not\."):
        list(visit_trees(1))


def test_count_of_an_unpublished_pit_stops_the_release() -> None:
    visit = PublishedVisitFactory.create()
    PublishedCountFactory.create(visit_id=visit.id)

    with pytest.raises(LooseRowError):
        list(visit_trees(1))


@pytest.mark.parametrize(
    ("state", "line", "took_place"),
    [
        ("done", "not_entered", True),
        ("not_done", "not_looked_for", False),
        ("not_entered", "not_entered", False),
        ("not_entered", 0, True),
    ],
)
def test_step_took_place_if_done_or_counted(
    state: str, line: int | str, *, took_place: bool
) -> None:
    pit = pit_of(PublishedVisitFactory.create(), expellant=state)

    step = StepTree(counts_of(pit, "expellant", (line,) * 4))

    assert step.state == state
    assert step.took_place is took_place
