"""Which photos may be looked at, and by whom."""

from datetime import timedelta

import pytest

from surveys.photos.models import Photo
from surveys.photos.queries import photo_to_review, photos_for, photos_of
from surveys.visits.models import Visit
from tests.factories.private import (
    NOW,
    ConsentFactory,
    ParticipantFactory,
    PhotoFactory,
    PitFactory,
    ReviewerFactory,
)

LATER = NOW + timedelta(days=1)

pytestmark = pytest.mark.django_db


def waiting(**reviewer: object) -> list[Photo]:
    return photos_for(ReviewerFactory.create(**reviewer), state="held", at=LATER)


def test_photos_of_a_visit_come_in_order_and_over_revisions() -> None:
    first = PhotoFactory.create()
    visit = first.pit.visit
    second = PhotoFactory.create(
        pit=PitFactory.create(visit=visit, revision=2), consent=first.consent
    )
    PhotoFactory.create()

    assert list(photos_of(visit)) == [first, second]


def test_photos_wait_oldest_first() -> None:
    made = PhotoFactory.create_batch(3)

    assert waiting() == made


def test_photo_of_the_reviewers_household_is_not_shown() -> None:
    photo = PhotoFactory.create()
    recorder = photo.pit.visit.participant
    relative = ParticipantFactory.create(group=recorder.group, household=recorder.household)

    assert waiting(participant=relative) == []
    assert waiting(active=False) == []
    assert waiting() == [photo]


def test_photo_can_be_looked_at_while_consent_and_visit_stand() -> None:
    photo = PhotoFactory.create()

    assert photo_to_review(photo.public_key, at=LATER) == photo
    Visit.objects.update(state="withdrawn")
    assert photo_to_review(photo.public_key, at=LATER) is None


def test_consent_that_ended_hides_the_photo_at_once() -> None:
    photo = PhotoFactory.create()
    person = photo.pit.visit.participant
    row = ConsentFactory.build(
        participant=person, purpose="photos", decision="withdrawn", decided_at=LATER
    )

    type(row).objects.bulk_create([row])  # past every receiver

    assert Photo.objects.exists()
    assert photo_to_review(photo.public_key, at=LATER) is None
    assert waiting() == []


def test_refused_photo_has_nothing_to_look_at() -> None:
    photo = PhotoFactory.create(
        state="refused",
        reason_code="shows-face",
        decided_at=NOW,
        decided_by=ReviewerFactory.create(),
    )

    assert photo_to_review(photo.public_key, at=LATER) is None
