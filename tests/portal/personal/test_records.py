"""Where a record stands, in plain words."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from portal.personal.records import WHY, OwnRecord, own_records
from portal.publication.withdrawal import ReasonClass, withdraw_visits
from portal.records.models import PublishedVisit
from surveys.visits.models import Visit
from tests.factories.private import ConsentFactory, ParticipantFactory, PitFactory, VisitFactory
from tests.portal.publication.villages import FIRST_AT, Household, release

pytestmark = pytest.mark.django_db

LATER = datetime(2025, 9, 3, 12, tzinfo=UTC)


def record_of(home: Household) -> OwnRecord:
    (record,) = own_records(home.participant, at=LATER)
    return record


def change(home: Household, **facts: Any) -> None:
    Visit.objects.filter(pk=home.visit.pk).update(**facts)


def withdraw(home: Household) -> None:
    withdraw_visits(
        visits=[Visit.objects.get(pk=home.visit.pk)],
        reason_class=ReasonClass.DOUBLE,
        at=LATER,
        by="group QVD",
    )


@pytest.mark.parametrize(
    ("state", "consents", "words"),
    [
        ("in_review", True, "With us, waiting for a reviewer. Not published."),
        (
            "asked_back",
            True,
            "With us. Your group has a question to answer about it. Not published.",
        ),
        ("declined", True, "With us, but not taken up for publication."),
        ("accepted", True, "With us and checked. It can come into the next release."),
        (
            "accepted",
            False,
            "With us and checked. Not published, as there is no consent to publish it.",
        ),
        ("withdrawn", True, "Withdrawn. It was never published."),
    ],
)
def test_unpublished_record_says_where_it_waits(state: str, *, consents: bool, words: str) -> None:
    visit = VisitFactory.create(state=state)
    if consents:
        ConsentFactory.create(participant=visit.participant)

    (record,) = own_records(visit.participant, at=LATER)

    assert record.words == words
    assert (record.releases, record.address, record.receipts) == ((), None, None)
    assert record.is_withdrawn == (state == "withdrawn")


def test_published_record_names_its_releases_and_public_address(homes: list[Household]) -> None:
    change(homes[0], people_digging=5)
    release(2)
    release(3)

    record = record_of(homes[0])

    public_id = Visit.objects.get(pk=homes[0].visit.pk).public_id
    assert record.words == "Published since release 1."
    assert record.releases == (1, 2, 3)
    assert record.address == f"http://localhost:8000/id/visit/{public_id}"
    assert record.habitats == "lawn and flower bed"


def test_record_that_came_later_was_not_in_earlier_releases(homes: list[Household]) -> None:
    change(homes[0], state="in_review")
    release(2)
    change(homes[0], state="accepted")
    release(3)

    record = record_of(homes[0])

    assert record.releases == (1, 3)
    assert record.words == "Published since release 3."


def test_record_that_left_a_release_says_so(homes: list[Household]) -> None:
    change(homes[0], state="asked_back")
    release(2)

    record = record_of(homes[0])

    assert record.releases == (1,)
    assert record.words == (
        "With us. Your group has a question to answer about it. Not published. "
        "Earlier releases showed it."
    )


def test_record_under_correction_stands_as_published(homes: list[Household]) -> None:
    change(homes[0], state="in_review")

    assert record_of(homes[0]).words == "Published since release 1."


def test_hidden_record_is_not_called_published(homes: list[Household]) -> None:
    PublishedVisit.objects.update(hidden=True)

    record = record_of(homes[0])

    assert record.words == (
        "Published, but hidden at the moment: too few households share its area."
    )
    assert record.releases == ()


def test_withdrawn_record_says_since_when_and_what_it_stood_in(homes: list[Household]) -> None:
    release(2)
    withdraw(homes[0])

    record = record_of(homes[0])

    assert record.words == "Withdrawn on 3 September 2025, as it was sent twice."
    assert (record.is_withdrawn, record.withdrawn_on) == (True, LATER.date())
    assert record.releases == (1, 2)
    assert record.address is not None


def test_every_reason_of_a_withdrawal_has_words() -> None:
    assert set(WHY) == set(ReasonClass)


def test_records_are_own_ones_only_newest_first_with_the_habitats_of_today() -> None:
    participant = ParticipantFactory.create()
    VisitFactory.create()
    old = VisitFactory.create(participant=participant, visited_on=FIRST_AT.date(), revision=2)
    new = VisitFactory.create(
        participant=participant, visited_on=FIRST_AT.date() + timedelta(days=9)
    )
    PitFactory.create(visit=old, revision=1, habitat="hedge")
    PitFactory.create(visit=old, revision=2, number=2, habitat="lawn")
    PitFactory.create(visit=old, revision=2, number=1, habitat="orchard")
    PitFactory.create(visit=new, number=1, habitat="lawn")
    PitFactory.create(visit=new, number=2, habitat="lawn")

    records = own_records(participant, at=LATER)

    assert [(record.reference, record.habitats) for record in records] == [
        (new.client_ref, "lawn"),
        (old.client_ref, "orchard and lawn"),
    ]


def test_number_of_questions_does_not_grow_with_the_records(
    homes: list[Household], django_assert_max_num_queries: Any
) -> None:
    participant = homes[0].participant
    for _ in range(20):
        PitFactory.create(visit=VisitFactory.create(participant=participant))

    with django_assert_max_num_queries(6):
        assert len(own_records(participant, at=LATER)) == 21
