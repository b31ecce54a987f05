"""Three releases: what is added, corrected and removed, and what never changes."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from portal.publication import operations
from portal.publication.operations import ReleaseRefused, make_release
from portal.records.changes import release_changes
from portal.records.models import (
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    ReleaseFile,
)
from portal.records.queries import KINDS, TABLES, rows_of
from surveys.audit.models import AuditEntry
from surveys.people.models import Participant
from surveys.visits.models import Visit
from tests.factories.private import ConsentFactory
from tests.factories.published import TombstoneFactory
from tests.portal.publication.villages import (
    CELL,
    FIRST_AT,
    Household,
    fixed_mint,
    household,
    release,
    village,
    village_group,
)

pytestmark = pytest.mark.django_db
Versions = dict[tuple[str, int], dict[str, Any]]


def versions() -> Versions:
    """Return every column of every row version of all tables, by table and row."""
    found: Versions = {}
    for name, table in TABLES.items():
        rows: Any = table.objects.values()
        found |= {(name, row["row"]): row for row in rows}
    return found


def ids_at(number: int, collection: str = "visits") -> set[UUID]:
    return set(TABLES[collection].objects.at(number).values_list("id", flat=True))


def public_id(home: Household) -> UUID:
    return UUID(str(Visit.objects.values_list("public_id", flat=True).get(pk=home.visit.pk)))


@dataclass(frozen=True)
class Story:
    """Three releases: the second adds, corrects and removes; the third corrects again."""

    homes: list[Household]
    newcomer: Household
    after: list[Versions]


@pytest.fixture
def story(db: None) -> Story:  # noqa: ARG001 -- the database is needed
    """Tell it: home 0 is corrected twice, home 1 is reopened, home 6 joins."""
    group = village_group()
    homes = village(group, range(6))
    release(1)
    after = [versions()]
    Visit.objects.filter(pk=homes[0].visit.pk).update(people_digging=3)
    Visit.objects.filter(pk=homes[1].visit.pk).update(state="in_review")
    newcomer = household(group, 6)
    release(2)
    after.append(versions())
    Visit.objects.filter(pk=homes[0].visit.pk).update(people_digging=4)
    release(3)
    after.append(versions())
    return Story(homes, newcomer, after)


def test_first_release_shows_the_village_in_its_shared_cell() -> None:
    village(village_group(), range(5))

    made = release(1)

    assert rows_of(1) == {"visits": 5, "pits": 10, "counts": 30}
    assert set(PublishedVisit.objects.values_list("cell", "cell_level")) == {(CELL, 4)}
    assert made.issued_at == FIRST_AT
    assert made.citation == (
        "Example Soil Survey Consortium (2025). Soil animals of paired pits. Release 1. "
        "http://localhost:8000/releases/1"
    )
    assert [protocol["key"] for protocol in made.protocols] == ["contrast-pit"]
    assert set(PublishedVisit.objects.values_list("modified_at", flat=True)) == {FIRST_AT}


def test_releases_add_change_and_remove(story: Story) -> None:
    ids = [public_id(home) for home in story.homes]
    newcomer = public_id(story.newcomer)

    assert ids_at(1) == set(ids)
    assert ids_at(2) == {*ids, newcomer} - {ids[1]}
    assert ids_at(3) == ids_at(2)
    people = [
        PublishedVisit.objects.at(number).get(id=ids[0]).people_digging for number in (1, 2, 3)
    ]
    assert people == [2, 3, 4]


def test_change_lists_are_the_differences_of_the_rows(story: Story) -> None:
    del story
    held: dict[str, dict[UUID, dict[str, Any]]] = {name: {} for name in TABLES}
    for number in (1, 2, 3):
        for name, table in TABLES.items():
            rows = {row["id"]: _content(row) for row in table.objects.at(number).values()}
            before, held[name] = held[name], rows

            changes = dict(release_changes(number, KINDS[name]))

            assert changes == {
                **dict.fromkeys(set(rows) - set(before), "added"),
                **dict.fromkeys(set(before) - set(rows), "removed"),
                **{key: "changed" for key in set(rows) & set(before) if rows[key] != before[key]},
            }
            assert list(changes) == sorted(changes)
    assert "changed" in dict(release_changes(3, "visit")).values()
    assert "removed" in dict(release_changes(2, "occurrence")).values()


def _content(row: dict[str, Any]) -> dict[str, Any]:
    bookkeeping = {"row", "since_release", "until_release", "hidden", "modified_at"}
    return {name: value for name, value in row.items() if name not in bookkeeping}


def test_nothing_is_updated_in_place(story: Story) -> None:
    """A release may close a version; every other column of it stays for ever."""
    for earlier, later in zip(story.after, story.after[1:], strict=False):
        for key, row in earlier.items():
            kept = later[key]
            assert kept | {"until_release": None} == row | {"until_release": None}
            assert row["until_release"] in {None, kept["until_release"]}


def test_version_opens_and_closes_at_the_releases_that_changed_it(story: Story) -> None:
    corrected, reopened, quiet = (public_id(home) for home in story.homes[:3])

    def lives(visit_id: UUID) -> list[tuple[int, int | None]]:
        rows = PublishedVisit.objects.filter(id=visit_id).order_by("row")
        return list(rows.values_list("since_release", "until_release"))

    assert lives(corrected) == [(1, 2), (2, 3), (3, None)]
    assert lives(reopened) == [(1, 2)]
    assert lives(quiet) == [(1, None)]
    assert lives(public_id(story.newcomer)) == [(2, None)]


def test_public_ids_are_random_and_kept(story: Story) -> None:
    ids = [row["id"] for row in story.after[-1].values()]
    others = [
        row[name]
        for row in story.after[-1].values()
        for name in ("visit_id", "site_id", "pit_id", "phase_id")
        if name in row
    ]

    assert {(one.version, one.variant) for one in ids + others} == {(4, "specified in RFC 4122")}
    of_visits = {row["id"] for (name, _), row in story.after[-1].items() if name == "visits"}
    assert len(of_visits) == 7
    assert ids_at(1) & ids_at(3) == ids_at(1) - {public_id(story.homes[1])}


def test_rows_of_a_release_are_written_in_order_of_id() -> None:
    village(village_group(), range(5))

    release(1)

    for table in TABLES.values():
        written = list(table.objects.order_by("row").values_list("id", flat=True))
        assert written == sorted(written)


def test_release_without_a_change_opens_no_version(story: Story) -> None:
    before = versions()

    release(4)

    assert versions() == before
    assert all(list(release_changes(4, kind)) == [] for kind in KINDS.values())
    assert rows_of(4) == rows_of(3)
    del story


def test_small_group_is_not_shown_until_it_grows() -> None:
    group = village_group()
    village(group, range(2))
    release(1)
    household(group, 2)

    release(2)

    assert (rows_of(1)["visits"], rows_of(2)["visits"]) == (0, 3)
    assert set(PublishedVisit.objects.values_list("cell", flat=True)) == {"root"}
    assert set(PublishedVisit.objects.values_list("latitude", flat=True)) == {None}


def test_place_may_become_finer_but_never_coarser() -> None:
    group = village_group()
    homes = village(group, range(3))
    release(1)
    village(group, range(3, 5))
    release(2)
    Visit.objects.filter(pk__in=[home.visit.pk for home in homes[:2]]).update(state="declined")
    release(3)

    cells = [
        set(PublishedVisit.objects.at(number).values_list("cell", flat=True))
        for number in (1, 2, 3)
    ]
    assert cells == [{"root"}, {CELL}, {CELL}]


def test_release_that_would_show_a_record_without_consent_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    group = village_group()
    homes = village(group, range(5))
    ConsentFactory.create(
        participant=homes[2].participant, decision="withdrawn", decided_at=FIRST_AT
    )
    # The guard must hold even if the choice before it should ever forget about consent.
    monkeypatch.setattr(
        operations,
        "eligible_visits",
        lambda _at: Visit.objects.filter(state="accepted").select_related("site__owner", "group"),
    )

    with pytest.raises(ReleaseRefused, match="without its recorder's consent"):
        release(1)

    assert not Release.objects.exists()
    assert not any(table.objects.exists() for table in TABLES.values())
    assert not ReleaseFile.objects.exists()


@pytest.mark.parametrize("seconds", [0, -1])
def test_release_goes_forward_only(seconds: int) -> None:
    release(1)

    with pytest.raises(ReleaseRefused, match="go forward only"):
        make_release(at=FIRST_AT + timedelta(seconds=seconds), by="test")

    assert Release.objects.count() == 1


def test_release_is_on_the_trail() -> None:
    release(1, by="reviewer S1")

    entry = AuditEntry.objects.get()
    assert (entry.actor, entry.action, entry.subject_key) == ("reviewer S1", "release made", "1")


def test_no_row_holds_a_private_word() -> None:
    """Plant a canary in every private text field, then look for it in all public rows."""
    group = village_group(name="CANARY group", code="CANARYG")
    for home in village(group, range(5), note="CANARY note"):
        Participant.objects.filter(pk=home.participant.pk).update(
            name="CANARY name", contact="CANARY contact", household=f"CANARY {home.site.code}"
        )
    for model in (PublishedVisit, PublishedPit, PublishedCount):
        assert not model.objects.exists()

    release(1)

    assert rows_of(1)["visits"] == 5
    assert "CANARY" not in str(versions())
    assert "CANARY" not in str(list(Release.objects.values()))


def test_release_under_a_withdrawn_id_is_refused_whole() -> None:
    village(village_group(), range(5))
    TombstoneFactory.create(id=fixed_mint("visit QVD/V00"))

    with pytest.raises(ReleaseRefused, match="cannot be published again"):
        release(1, mint=fixed_mint)

    assert not Release.objects.exists()
