"""A job from its file to stored visits: asked, killed, cancelled, mended and sent again."""

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest

from surveys.intake.models import Submission
from surveys.people.models import Group
from surveys.uploads import leases, working
from surveys.uploads.cells import Reading
from surveys.uploads.columns import Layout, read_header
from surveys.uploads.error_tables import NoSheet, annotated
from surveys.uploads.gathering import visits_of_table
from surveys.uploads.leases import claim
from surveys.uploads.models import JobPhase, JobState, UploadFault, UploadJob
from surveys.uploads.operations import cancel, confirm, remove_old
from surveys.uploads.store import sent_file
from surveys.visits.models import Visit
from tests.factories.private import NOW, put, sending_group, stored_visit, without
from tests.surveys.uploads.files import (
    Clock,
    csv_of,
    hands,
    received,
    table_of,
    uploaded,
    visit_number,
    worked,
)

pytestmark = pytest.mark.django_db
VISITS = [visit_number(number) for number in range(1, 4)]


@pytest.fixture
def group() -> Group:
    """Return a group ready to send."""
    return sending_group()


def told(job: UploadJob) -> list[tuple[int | None, str, str]]:
    """Return row, column and code of each error."""
    faults = job.faults.filter(severity="error")
    return list(faults.values_list("row", "column", "code"))


def refs(group: Group) -> Counter[str]:
    """Return how often each reference is stored."""
    return Counter(group.visits.values_list("client_ref", flat=True))


@pytest.mark.parametrize("layout", list(Layout))
def test_table_stores_what_the_same_visits_sent_as_json_would(group: Group, layout: Layout) -> None:
    header, rows = table_of(VISITS[:2], layout)
    (first, _) = visits_of_table(
        [(n, [*row]) for n, row in enumerate(rows, start=2)], *read_header(header), Reading()
    )
    stored_visit(group, first.raw)

    job = uploaded(group, csv_of(header, rows))

    assert [(f.severity, f.code, f.message) for f in job.faults.all()] == []
    assert (job.state, job.phase, job.percent) == (JobState.DONE, JobPhase.FINISHED, 100)
    assert job.tally == {"received": 2, "unchanged": 1, "stored": 1}
    assert job.reading["layout"] == layout
    assert refs(group) == {"QVD-U00001": 1, "QVD-U00002": 1}


def test_rehearsal_says_the_same_stores_nothing_and_can_then_be_stored(group: Group) -> None:
    second_visit = put(visit_number(2), "/site", {"code": "QVD-07-1"})  # its place is known by then
    content = csv_of(*table_of([VISITS[0], second_visit | {"visited_on": "2025-04-05"}]))

    job = uploaded(group, content, is_rehearsal=True)
    nothing = (Visit.objects.count(), Submission.objects.count())
    confirm(job=job, answers={}, store=True, at=NOW)
    worked(job)

    assert told(job) == []
    assert nothing == (0, 0)
    assert job.tally == {"received": 2, "stored": 2}
    assert Visit.objects.count() == 2


def test_ambiguous_file_asks_and_goes_on_when_answered(group: Group) -> None:
    visits = [visit | {"visited_on": "03/04/2025"} for visit in VISITS]

    job = uploaded(group, csv_of(*table_of(visits)))
    asked = (job.state, [question["about"] for question in job.questions], refs(group).total())
    confirm(job=job, answers={"dates": "day-month-year"}, store=False, at=NOW)
    worked(job)

    assert asked == (JobState.ASKING, ["dates"], 0)
    assert (job.state, job.tally["stored"]) == (JobState.DONE, 3)
    assert job.reading["because"]["dates"] == "you said so"
    assert set(group.visits.values_list("visited_on__month", flat=True)) == {4}


def test_answers_given_with_the_file_are_not_asked_for(group: Group) -> None:
    visits = [put(visit | {"visited_on": "03/04/2025"}, "/note", "Gänse") for visit in VISITS]
    content = csv_of(*table_of(visits), separator=";").decode().encode("cp1252")

    job = uploaded(group, content, answers={"dates": "day-month-year", "encoding": "windows-1252"})

    assert (job.state, job.reading["encoding"]) == (JobState.DONE, "windows-1252")
    assert job.reading["because"]["separator"] == "it makes known columns of the header"
    assert set(group.visits.values_list("note", flat=True)) == {"Gänse"}


def test_file_that_cannot_be_read_fails_with_its_reason_and_stores_nothing(group: Group) -> None:
    header, rows = table_of(VISITS)

    job = uploaded(group, csv_of([*header[:-1], "wormcount"], rows))

    assert (job.state, job.tally, job.kind) == (JobState.FAILED, {}, "")
    with pytest.raises(NoSheet):
        annotated(job, sent_file(job).with_name("sheet"))
    assert told(job) == [(1, "wormcount", "column-unknown")]


def test_visit_whose_rows_stand_apart_is_not_stored_in_part(group: Group) -> None:
    header, rows = table_of(VISITS)

    job = uploaded(group, csv_of(header, [rows[0], *rows[2:], rows[1]]))

    assert set(refs(group)) == {"QVD-U00002", "QVD-U00003"}
    assert [fault for fault in told(job) if fault[2] == "rows-apart"] == [
        (2, "client_ref", "rows-apart"), (7, "client_ref", "rows-apart"),
    ]  # fmt: skip


# In a long table, and for each: after how many rows of its visit it stands, column, text, code.
PLANTED = [
    (0, "pit.habitat", "lawnn", "word-unknown"),
    (0, "number", "-1", "count-out-of-range"),
    (5, "number", "two", "number-not-whole"),
    (9, "number", "1.5", "number-not-whole"),
    (8, "pit.width_cm", "20 cm", "number-not-readable"),
    (8, "pit.length_cm", "0", "number-out-of-range"),
    (0, "pit.depth_cm", "", "field-missing"),
    (0, "pit.sorted_to_end", "perhaps", "not-yes-or-no"),
    (0, "soil.moisture", "damp", "word-unknown"),
    (8, "pit.management", "mown|ploughd", "word-unknown"),
    (0, "participant", "QVD-99", "participant-unknown"),
    (0, "protocol", "contrast-pit/9", "protocol-unknown"),
    (0, "visited_on", "2025-02-30", "date-not-readable"),
    (0, "site.place_kind", "castle", "word-unknown"),
    (0, "site.latitude", "95.12345", "number-out-of-range"),
    (0, "people_digging", "500", "number-out-of-range"),
    (4, "stage", "adultt", "word-unknown"),
    (0, "pit.sorting_minutes", "20000", "number-out-of-range"),
    (12, "step.volume_ml", "0", "number-out-of-range"),
    (3, "group", "anecic", "line-not-in-protocol"),
]
OF_ONE_ROW = {"number", "group", "stage"}


@pytest.mark.slow
def test_twenty_planted_faults_in_a_thousand_rows_are_those_twenty(group: Group) -> None:
    visits = [visit_number(number) for number in range(63)]
    visits[-1] = put(visits[-1], "/pits", visits[-1]["pits"][:1])
    header, rows = table_of(visits, Layout.LONG)
    expected = []
    for number, (after, name, text, code) in enumerate(PLANTED):
        row, column = 48 * number + after, header.index(name)
        rows[row][column] = text
        is_of_first_pit = after < 8 and name.startswith(("pit.", "soil."))
        for later in range(row + 1, 48 * number + (8 if is_of_first_pit else 16)):
            if name not in OF_ONE_ROW:
                rows[later][column] = ""
        expected.append((row + 2, name, code))

    job = uploaded(group, csv_of(header, rows), is_rehearsal=True)

    assert len(rows) == 1000
    assert told(job) == expected
    assert job.tally == {"received": 63, "stored": 43, "rejected": 20}
    first = job.faults.filter(severity="error")[0]
    assert (first.received, first.record) == ("lawnn", "QVD-U00000")
    assert "lawn" in first.allowed.split(", ")


class Killed(BaseException):
    """The worker is gone, as after SIGKILL: nothing in it runs on."""


class KillAt:
    """Count the places where a worker touches the database, and die at one of them."""

    def __init__(self, at: int) -> None:
        self.left = at

    def __call__(self) -> None:
        self.left -= 1
        if self.left == 0:
            raise Killed


def steps_until_done(clock: Clock, kill: KillAt) -> None:
    claimed = claim(worker="worker", at=clock())
    assert claimed is not None
    real_hold, real_keep = leases.hold, working._keep_faults
    patch = pytest.MonkeyPatch()

    def hold(*args: Any, **kwargs: Any) -> UploadJob:
        kill()
        return real_hold(*args, **kwargs)

    def keep(*args: Any) -> None:
        real_keep(*args)
        kill()

    patch.setattr(working, "hold", hold)
    patch.setattr(working, "_keep_faults", keep)
    try:
        working.work(claimed, hands(clock))
    finally:
        patch.undo()


def kills() -> Iterator[int]:
    """Yield each place at which this file's worker can die, and one after the last."""
    yield from range(1, 12)


@pytest.mark.parametrize("place", list(kills()))
def test_worker_killed_anywhere_loses_and_doubles_nothing(
    group: Group, monkeypatch: pytest.MonkeyPatch, place: int
) -> None:
    monkeypatch.setattr(working, "CHUNK", 1)
    faulty = put(VISITS[1], "/pits/0/habitat", "nowhere")
    job = received(group, csv_of(*table_of([VISITS[0], faulty, VISITS[2]])))
    clock = Clock()

    try:
        steps_until_done(clock, KillAt(place))
    except Killed:
        assert claim(worker="another", at=clock()) is None  # the lease still runs
        clock.at += leases.LEASE
        worked(job, "another", clock)
    job.refresh_from_db()

    assert job.state == JobState.DONE
    assert refs(group) == {"QVD-U00001": 1, "QVD-U00003": 1}
    assert told(job) == [(4, "pit.habitat", "word-unknown")]
    assert job.tally == {"received": 3, "stored": 2, "rejected": 1}


def test_killed_rehearsal_goes_on_knowing_the_places_of_the_file(
    group: Group, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(working, "CHUNK", 1)
    again = put(VISITS[1], "/site", {"code": "QVD-07-1"}) | {"visited_on": "2025-04-05"}
    job = received(group, csv_of(*table_of([VISITS[0], again])), is_rehearsal=True)
    clock = Clock()

    with pytest.raises(Killed):
        steps_until_done(clock, KillAt(4))  # scan, hold and faults of the first visit, then
    clock.at += leases.LEASE
    worked(job, "another", clock)

    assert (told(job), job.tally) == ([], {"received": 2, "stored": 2})
    assert not Visit.objects.exists()


def test_worker_that_lost_its_job_stores_nothing_more(group: Group) -> None:
    job = received(group, csv_of(*table_of(VISITS)))
    clock = Clock()
    slow = claim(worker="slow", at=clock())
    clock.at += leases.LEASE
    quick = claim(worker="quick", at=clock())
    assert slow is not None
    assert quick is not None

    working.work(slow, hands(clock))
    stored_by_slow = refs(group).total()
    working.work(quick, hands(clock))

    job.refresh_from_db()
    assert stored_by_slow == 0
    assert (job.state, refs(group).total()) == (JobState.DONE, 3)


def test_cancelled_job_stops_at_its_next_step(
    group: Group, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(working, "CHUNK", 1)
    job = received(group, csv_of(*table_of(VISITS)))
    clock = Clock()
    claimed = claim(worker="worker", at=clock())
    assert claimed is not None

    def cancel_it(_group: Group, _since: Any) -> None:
        if not UploadJob.objects.get().is_cancelling:
            cancel(job=job, at=clock())

    working.work(claimed, working.Hands(clock, cancel_it))

    job.refresh_from_db()
    assert (job.state, job.worker) == (JobState.CANCELLED, "")
    assert refs(group) == {"QVD-U00001": 1}
    assert job.tally == {"received": 1, "stored": 1}


def test_mended_sheet_sent_again_stores_the_rest_only(group: Group) -> None:
    faulty = put(VISITS[1], "/pits/0/habitat", "nowhere")
    uploaded(group, csv_of(*table_of([VISITS[0], faulty])))
    header, rows = table_of(VISITS[:2])

    job = uploaded(group, csv_of([*header, "errors"], [[*row, "mend me"] for row in rows]))

    assert (told(job), job.tally) == ([], {"received": 2, "unchanged": 1, "stored": 1})
    assert refs(group) == {"QVD-U00001": 1, "QVD-U00002": 1}


def test_after_each_chunk_the_publication_is_told(group: Group) -> None:
    received(group, csv_of(*table_of(VISITS)))
    clock, followed = Clock(), []
    claimed = claim(worker="worker", at=clock())
    assert claimed is not None

    working.work(claimed, working.Hands(clock, lambda who, since: followed.append((who, since))))

    ((who, since),) = followed
    assert who == group
    assert since == Visit.objects.order_by("id")[0].received_at


def test_job_that_starts_again_and_again_is_given_up(group: Group) -> None:
    job = received(group, b"x")

    for _ in range(leases.MOST_ATTEMPTS):
        claimed = claim(worker="worker", at=NOW)
        assert claimed is not None
        leases.let_go(claimed, at=NOW)

    job.refresh_from_db()
    assert (job.state, claim(worker="worker", at=NOW)) == (JobState.FAILED, None)


def test_old_jobs_are_forgotten_with_their_files(group: Group) -> None:
    job = uploaded(group, csv_of(*table_of([without(VISITS[0], "/pits/0/habitat")])))
    path = sent_file(job)
    there = path.exists()

    kept = remove_old(at=NOW + timedelta(days=29))
    forgotten = remove_old(at=NOW + timedelta(days=31))

    assert (there, kept, forgotten, path.exists()) == (True, 0, 1, False)
    assert not UploadFault.objects.exists()
