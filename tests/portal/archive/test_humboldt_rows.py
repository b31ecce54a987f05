"""Survey scope of single events: what "everything was reported" and "absent" rest on."""

from typing import Any
from uuid import uuid4

import pytest

from portal.archive.edition import edition_of
from portal.archive.humboldt_rows import humboldt_rows
from portal.archive.reading import PitTree, StepTree, VisitTree
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    count_of,
    counts_of,
    pit_of,
)

pytestmark = pytest.mark.django_db


def rows_of_one_pit(
    sorted_out: tuple[int | str, ...] = (),
    drenched: tuple[int | str, ...] = (),
    **columns: Any,
) -> list[dict[str, Any]]:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit, **columns)
    steps = [
        StepTree(counts_of(pit, method, numbers))
        for method, numbers in (("hand_sort", sorted_out), ("expellant", drenched))
        if numbers
    ]
    edition = edition_of(ReleaseFactory.create())
    return list(humboldt_rows(edition, VisitTree(visit, [PitTree(pit, steps)])))


BLANK = ("not_entered",) * 4
NOT_LOOKED_FOR = ("not_looked_for",) * 4


@pytest.mark.parametrize(
    ("sorted_out", "drenched", "columns", "fully"),
    [
        ((1, 0, 0, 2), (0, 0, 1, 0), {}, True),
        ((1, 0, 0, 2), NOT_LOOKED_FOR, {"expellant": "not_done"}, True),
        ((1, 0, 0, 2), BLANK, {"expellant": "not_entered"}, False),
        ((1, 0, 0, 2), BLANK, {}, False),
        ((1, "not_looked_for", 0, 2), (0, 0, 1, 0), {}, False),
        ((1, 0, 0, 2), (0, 0, 1, 0), {"sorted_to_end": False}, False),
        ((1, 0, 0, 2), (0, 0, 1, 0), {"sorted_to_end": None}, True),
        ((), (), {}, False),
    ],
    ids=[
        "all counted",
        "drench left out",
        "drench unknown",
        "drench blank",
        "one line not looked for",
        "sorting cut short",
        "end not asked for",
        "no lines",
    ],
)
def test_pit_and_visit_are_fully_reported_only_if_every_line_was_counted(
    sorted_out: tuple[int | str, ...],
    drenched: tuple[int | str, ...],
    columns: dict[str, Any],
    *,
    fully: bool,
) -> None:
    visit, pit, *_ = rows_of_one_pit(sorted_out, drenched, **columns)

    for row in (visit, pit):
        assert row["isTaxonomicScopeFullyReported"] is fully
        assert row["isLifeStageScopeFullyReported"] is fully


def test_cut_short_sorting_does_not_touch_the_drench() -> None:
    rows = rows_of_one_pit((1, 0, 0, 2), (0, 0, 0, 0), sorted_to_end=False)

    by_step = {row["protocolNames"]: row["isTaxonomicScopeFullyReported"] for row in rows[2:]}
    assert by_step == {"handSorting": False, "expellantExtraction": True}


@pytest.mark.parametrize(
    ("sorted_out", "absent"),
    [
        ((0, 0, 0, 0), "Lumbricidae"),
        ((0, 0, 0, 1), ""),
        ((0, "not_looked_for", 0, 0), ""),
    ],
)
def test_absent_is_only_what_every_line_says(
    sorted_out: tuple[int | str, ...], absent: str
) -> None:
    _, pit, step = rows_of_one_pit(sorted_out, expellant="not_done")

    assert pit["absentTaxa"] == step["absentTaxa"] == absent


@pytest.mark.parametrize(("juveniles", "absent"), [(0, "Lumbricus terrestris"), (3, "")])
def test_species_is_absent_only_if_no_animal_was_left_coarse(juveniles: int, absent: str) -> None:
    visit = PublishedVisitFactory.create(protocol="species-pit/1")
    pit = pit_of(visit, expellant="not_done")
    phase_id = uuid4()
    counts = [
        count_of(pit, phase_id=phase_id, taxon="Lumbricus terrestris", number=0),
        count_of(pit, phase_id=phase_id, taxon="Lumbricus rubellus", number=1),
        count_of(pit, phase_id=phase_id, stage="juvenile", number=juveniles),
    ]
    tree = VisitTree(visit, [PitTree(pit, [StepTree(counts)])])

    _, of_pit, _ = humboldt_rows(edition_of(ReleaseFactory.create()), tree)

    assert of_pit["absentTaxa"] == absent


def test_blank_pit_reports_neither_absence_nor_abundance() -> None:
    _, pit, _ = rows_of_one_pit(BLANK, expellant="not_done")

    assert pit["isAbsenceReported"] is False
    assert pit["isAbundanceReported"] is False


def test_pit_names_only_the_steps_done_on_it() -> None:
    visit, pit, _ = rows_of_one_pit((0, 0, 0, 0), NOT_LOOKED_FOR, expellant="not_done")

    assert visit["protocolNames"] == "handSorting | expellantExtraction"
    assert pit["protocolNames"] == "handSorting"
