"""Identifiers, datestamps and deletion of what can be harvested."""

from uuid import uuid4

import pytest
from pytest_django import Settings

from api.harvest.oai.faults import Fault
from api.harvest.oai.items import Item, earliest_datestamp, item_of, items
from portal.records.models import PublishedVisit, Release
from tests.api.harvest.oai.scenes import build, day, issue, lay_stone, withdraw
from tests.factories.published import ReleaseFactory

pytestmark = pytest.mark.django_db


def known() -> dict[str, Item]:
    return {item.identifier.rpartition(":")[2]: item for item in items()}


def test_no_release_has_no_items() -> None:
    assert items() == []
    assert earliest_datestamp() < "2000"


def test_each_release_and_the_dataset_have_an_identifier(settings: Settings) -> None:
    settings.PUBLIC_URL = "https://data.example.org:8443"
    issue(1)
    issue(2)

    assert {item.identifier for item in items()} == {
        "oai:data.example.org:release/1",
        "oai:data.example.org:release/2",
        "oai:data.example.org:dataset",
    }


def test_datestamp_is_the_instant_of_issue_to_the_second() -> None:
    issue(1)

    assert known()["release/1"].datestamp == "2025-06-01T09:30:15Z"
    assert known()["dataset"].datestamp == "2025-06-01T09:30:15Z"
    assert earliest_datestamp() == "2025-06-01T09:30:15Z"


def test_release_without_files_has_the_datestamp_of_its_issue() -> None:
    ReleaseFactory.create(number=1, issued_at=day(1))

    assert known()["release/1"].datestamp == "2025-06-01T09:30:15Z"


def test_newer_release_changes_the_one_before_it_and_the_dataset() -> None:
    for number in (1, 2, 3):
        issue(number)

    found = known()

    assert found["release/1"].datestamp == "2025-06-02T09:30:15Z"
    assert found["release/2"].datestamp == "2025-06-03T09:30:15Z"
    assert found["release/3"].datestamp == found["dataset"].datestamp == "2025-06-03T09:30:15Z"
    assert found["release/1"].related[1].endswith("/releases/2")


def test_new_build_changes_its_release_alone() -> None:
    issue(1)
    issue(2)

    build(1, day(9))

    assert known()["release/1"].datestamp == "2025-06-09T09:30:15Z"
    assert known()["release/2"].datestamp == "2025-06-02T09:30:15Z"
    assert known()["dataset"].datestamp == "2025-06-02T09:30:15Z"


def test_new_build_of_the_newest_release_changes_the_dataset_too() -> None:
    issue(1)
    issue(2)

    build(2, day(9))

    assert known()["release/1"].datestamp == "2025-06-02T09:30:15Z"
    assert known()["dataset"].datestamp == "2025-06-09T09:30:15Z"


def test_doi_changes_its_release() -> None:
    issue(1)
    issue(2)

    Release.objects.filter(number=1).update(doi="10.5555/pits-1", doi_set_at=day(9))

    assert known()["release/1"].datestamp == "2025-06-09T09:30:15Z"
    assert known()["release/2"].datestamp == "2025-06-02T09:30:15Z"


def test_release_is_deleted_when_all_its_visits_were_withdrawn() -> None:
    issue(1)
    issue(2)

    withdraw(1, day(5))

    assert {name for name, item in known().items() if item.is_deleted} == {"release/1"}
    assert known()["release/1"].datestamp == "2025-06-05T09:30:15Z"


def test_release_that_lost_some_visits_stays() -> None:
    issue(1)
    lay_stone(uuid4(), 1, day(2))

    assert not known()["release/1"].is_deleted


def test_release_whose_rows_are_only_hidden_is_not_deleted_for_good() -> None:
    issue(1)
    PublishedVisit.objects.update(hidden=True)

    assert not known()["release/1"].is_deleted


def test_release_that_was_empty_from_the_first_is_no_deleted_one() -> None:
    ReleaseFactory.create(number=1)

    assert not known()["release/1"].is_deleted


def test_dataset_falls_back_to_the_newest_release_that_stands() -> None:
    for number in (1, 2, 3):
        issue(number)

    withdraw(3, day(7))

    dataset = known()["dataset"]
    assert (dataset.release, dataset.is_deleted) == (2, False)
    assert dataset.datestamp == "2025-06-07T09:30:15Z", "its description changed"


def test_dataset_is_deleted_with_its_last_release() -> None:
    issue(1)
    issue(2)

    withdraw(2, day(7))
    withdraw(1, day(8))

    assert known()["dataset"].is_deleted
    assert known()["dataset"].datestamp == "2025-06-08T09:30:15Z"


def test_items_are_in_order_of_datestamp_then_identifier() -> None:
    for number in range(1, 13):
        issue(number)
    build(4, day(30))

    positions = [item.position for item in items()]

    assert positions == sorted(positions)
    assert positions[-1][1].endswith("release/4")


def test_unknown_identifier_is_said_not_to_exist() -> None:
    issue(1)

    assert item_of("oai:localhost:dataset").release == 1
    with pytest.raises(Fault) as caught:
        item_of("oai:localhost:release/2")
    assert caught.value.code == "idDoesNotExist"
