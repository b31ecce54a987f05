"""Withdrawal holds at once, in every release, with a tombstone and nothing else left."""

import zipfile
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.core.files.storage import default_storage
from pytest_django import DjangoCaptureOnCommitCallbacks

from portal.publication import withdrawal
from portal.publication.models import SitePlacement
from portal.publication.withdrawal import (
    ReasonClass,
    withdraw_participant,
    withdraw_visits,
)
from portal.records.models import PublishedVisit, ReleaseFile, Tombstone
from portal.records.queries import TABLES, rows_of, withdrawn_from
from surveys.people.models import ConsentDecision, Group
from surveys.visits.models import Visit
from tests.journeys.actors import Actor
from tests.portal.publication.villages import (
    FIRST_AT,
    Household,
    household,
    release,
    village,
    village_group,
)

LATER = FIRST_AT + timedelta(days=3, hours=5)

pytestmark = pytest.mark.django_db


@pytest.fixture
def group(db: None) -> Group:  # noqa: ARG001 -- the database is needed
    """Return the group of a village."""
    return village_group()


def withdraw(*homes: Household, at: datetime = LATER) -> int:
    return withdraw_visits(
        visits=[Visit.objects.get(pk=home.visit.pk) for home in homes],
        reason_class=ReasonClass.SENDER_ERROR,
        at=at,
        by="group QVD",
    )


def public_id(home: Household) -> UUID:
    return UUID(str(Visit.objects.values_list("public_id", flat=True).get(pk=home.visit.pk)))


def correct(home: Household, people: int) -> None:
    Visit.objects.filter(pk=home.visit.pk).update(people_digging=people)


def test_every_version_of_the_visit_is_gone_at_once(group: Group) -> None:
    homes = village(group, range(6))
    release(1)
    correct(homes[0], 5)
    release(2)
    gone = public_id(homes[0])
    assert PublishedVisit.objects.filter(id=gone).count() == 2

    withdrawn = withdraw(homes[0])

    assert withdrawn == 1 + 2 + 6
    for table in TABLES.values():
        assert not table.objects.filter(visit_id=gone).exists()
    assert Visit.objects.get(pk=homes[0].visit.pk).state == "withdrawn"
    assert [rows_of(number)["visits"] for number in (1, 2)] == [5, 5]


def test_tombstone_holds_id_day_reason_releases_and_entry_only(group: Group) -> None:
    homes = village(group, range(6))
    release(1)
    release(2)
    gone = public_id(homes[0])

    withdraw(homes[0])

    columns = {field.name for field in Tombstone._meta.concrete_fields}
    assert columns == {
        "id", "kind", "withdrawn_on", "reason_class", "first_release", "last_release",
        "entry",
    }  # fmt: skip
    stone = Tombstone.objects.get(id=gone)
    assert (stone.kind, stone.withdrawn_on, stone.reason_class) == (
        "visit",
        date(2025, 7, 3),
        "sender_error",
    )
    assert (stone.first_release, stone.last_release) == (1, 2)
    assert Tombstone.objects.count() == 9
    assert [len(withdrawn_from(number)) for number in (1, 2, 3)] == [9, 9, 0]


def test_tombstone_of_a_record_that_left_before_names_its_last_release(group: Group) -> None:
    homes = village(group, range(6))
    release(1)
    Visit.objects.filter(pk=homes[0].visit.pk).update(state="in_review")
    release(2)
    release(3)

    withdraw(homes[0])

    stone = Tombstone.objects.get(id=public_id(homes[0]))
    assert (stone.first_release, stone.last_release) == (1, 1)
    assert [len(withdrawn_from(number)) for number in (1, 2, 3)] == [9, 0, 0]


def test_old_files_are_gone_and_stand_again_without_the_rows(
    group: Group, django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks
) -> None:
    homes = village(group, range(6))
    release(1)
    old = list(ReleaseFile.objects.all())
    stored = [file.storage_name for file in old]
    assert str(public_id(homes[0])) in _text_of(ReleaseFile.objects.get(name="archive.zip"))

    with django_capture_on_commit_callbacks(execute=True):
        withdraw(homes[0])
        assert all(default_storage.exists(name) for name in stored)  # until the commit

    assert not any(default_storage.exists(name) for name in stored)
    assert set(ReleaseFile.objects.filter(build=1).values_list("gone_at", flat=True)) == {LATER}
    new = ReleaseFile.objects.filter(build=2)
    assert {file.name for file in new} == {file.name for file in old}
    assert all(file.gone_at is None and default_storage.exists(file.storage_name) for file in new)
    assert str(public_id(homes[0])) not in _text_of(new.get(name="archive.zip"))
    reader = Actor()
    for file in old:
        answer = reader.get(f"/files/1/1/{file.name}", **{"If-None-Match": f'"{file.sha256}"'})
        assert answer.status_code == 410
        assert answer.json()["gone_on"] == "2025-07-03"


def _text_of(archive: ReleaseFile) -> str:
    with default_storage.open(archive.storage_name) as content, zipfile.ZipFile(content) as files:
        return "".join(files.read(name).decode() for name in files.namelist())


def test_releases_before_the_record_keep_their_files(group: Group) -> None:
    village(group, range(6))
    release(1)
    newcomer = household(group, 6)
    release(2)

    withdraw(newcomer)

    builds = ReleaseFile.objects.filter(gone_at__isnull=True).values_list("release", "build")
    assert set(builds) == {(1, 1), (2, 2)}


def test_answers_change_their_etag_after_a_withdrawal(group: Group) -> None:
    homes = village(group, range(6))
    release(1)
    reader = Actor()
    asked = ("/api/v1/visits", "/api/v1/counts?release=1", "/api/v1/summary", "/api/v1/fields")
    before = {address: reader.get(address) for address in asked}
    assert all(
        reader.get(address, **{"If-None-Match": answer.headers["ETag"]}).status_code == 304
        for address, answer in before.items()
    )

    withdraw(homes[0])

    for address, answer in before.items():
        after = reader.get(address, **{"If-None-Match": answer.headers["ETag"]})
        assert after.status_code == 200
        assert after.headers["ETag"] != answer.headers["ETag"]


def test_group_left_too_small_is_hidden_at_once_and_back_when_it_grows(group: Group) -> None:
    homes = village(group, range(5))
    release(1)
    reader = Actor()

    withdraw(*homes[:2])
    assert rows_of(1)["visits"] == 3, "three households still share the cell"
    withdraw(homes[2], at=LATER + timedelta(days=1))

    assert rows_of(1) == {"visits": 0, "pits": 0, "counts": 0}
    for address in ("visits", "pits", "counts", "occurrences"):
        assert reader.rows(f"/api/v1/{address}") == []
    assert reader.get(f"/api/v1/visits/{public_id(homes[3])}").status_code == 404
    assert _visits_in_newest_file(1) == 0
    assert Tombstone.objects.count() == 3 * 9, "the hidden ones have no tombstone"

    village(group, range(5, 8))
    release(2)

    assert (rows_of(1)["visits"], rows_of(2)["visits"]) == (2, 5)
    assert reader.get(f"/api/v1/visits/{public_id(homes[3])}").status_code == 200
    assert not PublishedVisit.objects.filter(hidden=True).exists()


def _visits_in_newest_file(number: int) -> int:
    newest = ReleaseFile.objects.filter(release=number, name="visits.csv").order_by("-build")[0]
    with default_storage.open(newest.storage_name) as content:
        return len(content.read().decode().splitlines()) - 1


def test_files_and_etags_follow_when_hidden_rows_come_back(group: Group) -> None:
    homes = village(group, range(5))
    release(1)
    withdraw(*homes[:3])
    reader = Actor()
    etag = reader.get("/api/v1/visits?release=1").headers["ETag"]
    village(group, range(5, 8))

    release(2)

    answer = reader.get("/api/v1/visits?release=1", **{"If-None-Match": etag})
    assert answer.status_code == 200
    assert len(answer.json()["data"]) == rows_of(1)["visits"] == _visits_in_newest_file(1) == 2


def test_group_still_too_small_at_the_next_release_stays_out(group: Group) -> None:
    homes = village(group, range(5))
    release(1)
    withdraw(*homes[:3])
    release(2)
    assert rows_of(2)["visits"] == 0

    household(group, 9)
    release(3)

    assert [rows_of(number)["visits"] for number in (1, 2, 3)] == [2, 0, 3]


def test_other_groups_of_places_stay_as_they_are(group: Group) -> None:
    homes = village(group, range(5))
    farms = village(group, range(10, 15), site={"place_kind": "farm"})
    release(1)

    withdraw(*homes[:3])

    shown = set(PublishedVisit.objects.at(1).values_list("id", flat=True))
    assert shown == {public_id(farm) for farm in farms}


def test_participant_who_leaves_takes_every_visit_and_the_consent(group: Group) -> None:
    homes = village(group, range(6))
    release(1)
    participant = homes[0].participant

    withdrawn = withdraw_participant(
        participant=participant,
        reason_class=ReasonClass.CONSENT_WITHDRAWN,
        at=LATER,
        by="group QVD",
    )
    release(2)

    assert withdrawn == 9
    last = participant.consents.order_by("-id")[0]
    assert (last.decision, last.decided_at) == (ConsentDecision.WITHDRAWN, LATER)
    assert rows_of(2)["visits"] == 5


def test_visit_that_was_never_public_leaves_no_tombstone(group: Group) -> None:
    village(group, range(5))
    release(1)
    late = household(group, 6)

    assert withdraw(late) == 0

    assert not Tombstone.objects.exists()
    assert ReleaseFile.objects.filter(build=2).count() == 0


def test_withdrawing_again_withdraws_nothing(group: Group) -> None:
    homes = village(group, range(6))
    release(1)
    withdraw(homes[0])

    assert withdraw(homes[0], at=LATER + timedelta(days=1)) == 0

    assert set(Tombstone.objects.values_list("withdrawn_on", flat=True)) == {date(2025, 7, 3)}


def test_withdrawn_id_never_comes_back(group: Group) -> None:
    homes = village(group, range(6))
    release(1)
    gone = public_id(homes[0])
    withdraw(homes[0])

    release(2)

    assert gone not in set(PublishedVisit.objects.values_list("id", flat=True))
    assert Actor().get(f"/id/visit/{gone}").status_code == 410


def test_placements_are_forgotten_with_their_rows(group: Group) -> None:
    homes = village(group, range(6))
    release(1)

    withdraw(homes[0])

    assert SitePlacement.objects.count() == 5


def test_withdrawal_that_fails_half_way_leaves_everything(
    group: Group, monkeypatch: pytest.MonkeyPatch
) -> None:
    homes = village(group, range(6))
    release(1)

    def fail(*_: Any, **__: Any) -> None:
        msg = "disk full"
        raise OSError(msg)

    monkeypatch.setattr(withdrawal, "build_files", fail)

    with pytest.raises(OSError, match="disk full"):
        withdraw(homes[0])

    assert rows_of(1)["visits"] == 6
    assert Visit.objects.get(pk=homes[0].visit.pk).state == "accepted"
    assert not Tombstone.objects.exists()


def test_sites_that_stand_in_an_earlier_release_only_are_hidden_too(group: Group) -> None:
    homes = village(group, range(5))
    release(1)
    reopened = [home.visit.pk for home in homes[:3]]
    Visit.objects.filter(pk__in=reopened).update(state="in_review")
    release(2)
    assert [rows_of(number)["visits"] for number in (1, 2)] == [5, 0]

    withdraw(*homes[:3])

    assert rows_of(1)["visits"] == 0, "two households are fewer than three, in any release"


def test_newcomers_do_not_shield_a_small_group_of_the_current_release(group: Group) -> None:
    homes = village(group, range(7))
    release(1)
    Visit.objects.filter(pk__in=[home.visit.pk for home in homes[:4]]).update(state="in_review")
    release(2)
    assert [rows_of(number)["visits"] for number in (1, 2)] == [7, 3]

    withdraw(homes[6])

    assert rows_of(2)["visits"] == 0, "two households of this release remain"
    assert rows_of(1)["visits"] == 4, "those of the first one are still six together"
