"""Permanent addresses."""

from uuid import UUID, uuid4

import pytest

from portal.records.models import PublishedCount, PublishedPit, PublishedVisit
from surveys.visits.models import Visit
from tests.api.harvest.withdrawing import withdraw
from tests.journeys.actors import Actor
from tests.portal.publication.villages import household, village_group

pytestmark = pytest.mark.django_db


def public_ids(visit: Visit) -> dict[str, UUID | None]:
    visit_id = UUID(str(visit.public_id))
    pit = PublishedPit.objects.filter(visit_id=visit_id)[0]
    count = PublishedCount.objects.filter(pit_id=pit.id)[0]
    return {
        "visit": visit.public_id,
        "pit": pit.id,
        "occurrence": count.id,
        "site": visit.site.public_id,
        "phase": count.phase_id,
    }


@pytest.mark.parametrize("kind", ["visit", "pit", "occurrence", "site", "phase"])
def test_permanent_address_leads_to_the_record(
    reader: Actor, three_releases: list[Visit], kind: str
) -> None:
    wanted = public_ids(three_releases[0])[kind]

    answer = reader.get(f"/id/{kind}/{wanted}", Accept="*/*")
    found = reader.get(answer.headers["Location"])

    assert answer.status_code == 303
    assert answer.headers["Location"].startswith("http://localhost:8000/api/v1/")
    assert found.status_code == 200
    data = found.json()["data"]
    assert data
    assert str(wanted) in str(data)


# Where a kind has no page of its own, the page tells of the record named beside it.
@pytest.mark.parametrize(
    ("kind", "shown"),
    [
        ("visit", "visit"),
        ("pit", "pit"),
        ("site", "visit"),
        ("phase", "pit"),
        ("occurrence", "pit"),
    ],
)
def test_permanent_address_leads_people_to_a_page(
    reader: Actor, three_releases: list[Visit], kind: str, shown: str
) -> None:
    for ids in (public_ids(three_releases[0]), public_ids(three_releases[1])):
        answer = reader.get(f"/id/{kind}/{ids[kind]}", Accept="text/html,*/*;q=0.8")
        page = reader.get(answer.headers["Location"], Accept="text/html,*/*;q=0.8")

        assert (answer.status_code, answer.headers["Vary"]) == (303, "Accept")
        assert page.status_code == 200
        assert page.headers["Content-Type"].startswith("text/html")
        assert str(ids[shown]) in page.content.decode()


@pytest.mark.parametrize("kind", ["visit", "pit", "occurrence"])
def test_permanent_address_of_a_withdrawn_record_is_gone(
    reader: Actor, three_releases: list[Visit], kind: str
) -> None:
    ids = public_ids(three_releases[0])
    withdraw(three_releases[0])

    answer = reader.get(f"/id/{kind}/{ids[kind]}")

    assert answer.status_code == 410
    assert answer.json()["id"] == str(ids[kind])
    assert answer.json()["reason_class"] == "erasure"


def test_permanent_address_of_a_withdrawn_place_is_not_found(
    reader: Actor, three_releases: list[Visit]
) -> None:
    ids = public_ids(three_releases[0])
    withdraw(three_releases[0])

    assert reader.get(f"/id/site/{ids['site']}").status_code == 404
    assert reader.get(f"/id/phase/{ids['phase']}").status_code == 404


@pytest.mark.parametrize("kind", ["visit", "pit", "occurrence", "site", "phase"])
def test_permanent_address_leads_to_the_last_release_that_held_the_record(
    reader: Actor, three_releases: list[Visit], kind: str
) -> None:
    removed = public_ids(three_releases[1])[kind]

    answer = reader.get(f"/id/{kind}/{removed}")
    found = reader.get(answer.headers["Location"])

    assert answer.status_code == 303
    assert answer.headers["Location"].endswith("release=2")
    assert str(removed) in str(found.json()["data"])


def test_permanent_address_of_a_hidden_record_is_not_found(
    reader: Actor, three_releases: list[Visit]
) -> None:
    ids = public_ids(three_releases[0])
    for model in (PublishedVisit, PublishedPit, PublishedCount):
        model.objects.update(hidden=True)

    assert {reader.get(f"/id/{kind}/{ids[kind]}").status_code for kind in ids} == {404}


@pytest.mark.usefixtures("three_releases")
@pytest.mark.parametrize("kind", ["visit", "pit", "occurrence", "site", "phase", "household", "x"])
def test_permanent_address_of_nothing_is_not_found(reader: Actor, kind: str) -> None:
    unknown = reader.get(f"/id/{kind}/{uuid4()}")
    of_another_kind = reader.get(f"/id/{kind}/{PublishedVisit.objects.order_by('id')[0].id}")

    assert unknown.status_code == 404
    assert of_another_kind.status_code == (303 if kind == "visit" else 404)


def test_private_id_is_as_unknown_as_none(reader: Actor, three_releases: list[Visit]) -> None:
    """A visit that is not published has no public id at all."""
    reopened = three_releases[1]
    del reopened
    late = household(village_group(code="LATE"), 30).visit

    assert late.public_id is None
    assert reader.get(f"/id/visit/{uuid4()}").status_code == 404
