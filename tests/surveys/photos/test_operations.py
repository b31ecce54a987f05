"""Keeping photos, deciding on them, and removing them with their files."""

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction

from surveys.audit.models import AuditEntry
from surveys.audit.operations import first_broken_entry
from surveys.people.models import ConsentDecision
from surveys.photos.models import Photo, PhotoKind, PhotoReason, PhotoState
from surveys.photos.operations import (
    MOST_PER_PIT,
    NoConsent,
    NotAllowed,
    NotDecidable,
    NotKept,
    decide_photo,
    keep_photo,
    remove_photos,
    remove_photos_of,
    remove_without_consent,
)
from surveys.photos.picture import Picture, rebuilt
from surveys.photos.storage import private_files
from surveys.visits.models import Pit, Visit, VisitState
from tests.factories.private import (
    NOW,
    ConsentFactory,
    ParticipantFactory,
    PhotoFactory,
    PitFactory,
    ReviewerFactory,
    VisitFactory,
)
from tests.surveys.photos.pictures import encoded, image

LATER = NOW + timedelta(days=1)
PICTURE = rebuilt(encoded())
OTHER = rebuilt(encoded(image(30, 30)))

pytestmark = pytest.mark.django_db


def keep(visit: Visit, picture: Picture = PICTURE, pit: int = 1, at: datetime = NOW) -> Photo:
    return keep_photo(visit=visit, pit_number=pit, kind=PhotoKind.SOIL, picture=picture, at=at)[0]


def is_stored(photo: Photo) -> bool:
    return private_files().exists(photo.storage_name)


def test_photo_is_kept_with_its_file_and_waits(visit: Visit) -> None:
    photo = keep(visit)

    photo.refresh_from_db()
    assert (photo.state, photo.kind, photo.pit.number) == ("held", "soil", 1)
    assert (photo.width_px, photo.height_px) == (60, 40)
    assert photo.consent.participant == visit.participant
    with private_files().open(photo.storage_name) as file:
        assert file.read() == PICTURE.content
    entry = AuditEntry.objects.get(action="photo received")
    assert entry.detail == {"photo": str(photo.public_key)}
    assert first_broken_entry() is None


def test_file_can_be_read_by_its_owner_only(visit: Visit) -> None:
    path = Path(private_files().path(keep(visit).storage_name))

    assert oct(path.stat().st_mode & 0o777) == "0o600"


def test_same_picture_of_the_same_pit_is_kept_once(visit: Visit) -> None:
    first = keep(visit)

    again, is_new = keep_photo(
        visit=visit, pit_number=1, kind=PhotoKind.PIT, picture=PICTURE, at=LATER
    )

    assert (again, is_new) == (first, False)
    assert keep(visit, pit=2) != first
    assert keep(visit, OTHER) != first
    assert AuditEntry.objects.filter(action="photo received").count() == 3


def test_same_picture_after_a_correction_is_the_same_photo(visit: Visit) -> None:
    first = keep(visit)
    Visit.objects.update(revision=2)
    corrected = PitFactory.create(visit=Visit.objects.get(), number=1)

    assert keep(visit) == first
    assert keep(visit, OTHER).pit == corrected


@pytest.mark.parametrize("state", [VisitState.DECLINED, VisitState.WITHDRAWN])
def test_closed_visit_takes_no_photo(visit: Visit, state: str) -> None:
    Visit.objects.update(state=state)

    with pytest.raises(NotKept, match=state):
        keep(visit)


def test_pit_that_is_not_there_takes_no_photo(visit: Visit) -> None:
    with pytest.raises(NotKept, match="no pit 3"):
        keep(visit, pit=3)


def test_pit_takes_no_more_than_enough_photos(visit: Visit) -> None:
    pit = Pit.objects.get(number=1)
    PhotoFactory.create_batch(MOST_PER_PIT, pit=pit, consent=visit.participant.consents.get())

    with pytest.raises(NotKept, match="already"):
        keep(visit)


@pytest.mark.parametrize("decision", ["refused", "withdrawn", "pending"])
def test_photo_needs_a_consent_in_force(visit: Visit, decision: str) -> None:
    ConsentFactory.create(
        participant=visit.participant, purpose="photos", decision=decision, decided_at=NOW
    )

    with pytest.raises(NoConsent):
        keep(visit, at=LATER)

    assert not Photo.objects.exists()


def test_consent_to_publication_is_none_to_photos() -> None:
    pit = PitFactory.create()
    ConsentFactory.create(participant=pit.visit.participant, purpose="publish")

    with pytest.raises(NoConsent):
        keep(pit.visit)


def test_consent_of_somebody_else_does_not_help() -> None:
    pit = PitFactory.create()
    other = ParticipantFactory.create(group=pit.visit.group)
    ConsentFactory.create(participant=other, purpose="photos")

    with pytest.raises(NoConsent):
        keep(pit.visit)


def test_approved_photo_keeps_its_file(visit: Visit) -> None:
    reviewer = ReviewerFactory.create(code="V1")

    photo = decide_photo(photo=keep(visit), reviewer=reviewer, state=PhotoState.APPROVED, at=LATER)

    photo.refresh_from_db()
    assert (photo.state, photo.decided_by, photo.decided_at) == ("approved", reviewer, LATER)
    assert is_stored(photo)
    assert AuditEntry.objects.get(action="photo approved").actor == "reviewer V1"


@pytest.mark.parametrize("first", ["held", "approved"])
def test_refused_photo_loses_its_file_after_the_commit(
    visit: Visit, first: str, django_capture_on_commit_callbacks: Any
) -> None:
    photo, reviewer = keep(visit), ReviewerFactory.create()
    if first == "approved":
        decide_photo(photo=photo, reviewer=reviewer, state=PhotoState.APPROVED, at=LATER)

    with django_capture_on_commit_callbacks(execute=True):
        decide_photo(
            photo=photo,
            reviewer=reviewer,
            state=PhotoState.REFUSED,
            reason_code=PhotoReason.SHOWS_FACE,
            at=LATER,
        )
        assert is_stored(photo)

    photo.refresh_from_db()
    assert (photo.state, photo.reason_code) == ("refused", "shows-face")
    assert not is_stored(photo)


def test_refused_photo_sent_again_stays_refused(visit: Visit) -> None:
    photo = keep(visit)
    decide_photo(
        photo=photo,
        reviewer=ReviewerFactory.create(),
        state=PhotoState.REFUSED,
        reason_code=PhotoReason.SHOWS_PLACE,
        at=LATER,
    )

    assert keep(visit).state == "refused"


@pytest.mark.parametrize(
    ("first", "second"), [("approved", "approved"), ("refused", "approved"), ("refused", "refused")]
)
def test_decided_photo_is_not_decided_again(visit: Visit, first: str, second: str) -> None:
    photo, reviewer = keep(visit), ReviewerFactory.create()

    def decide(state: str) -> None:
        decide_photo(
            photo=photo,
            reviewer=reviewer,
            state=PhotoState(state),
            reason_code=PhotoReason.SHOWS_TEXT if state == "refused" else None,
            at=LATER,
        )

    decide(first)
    with pytest.raises(NotDecidable, match=first):
        decide(second)


def test_photo_that_was_removed_is_not_decided(visit: Visit) -> None:
    photo = keep(visit)
    remove_photos(Photo.objects.all(), by="group G", at=LATER)

    with pytest.raises(NotDecidable, match="removed"):
        decide_photo(
            photo=photo, reviewer=ReviewerFactory.create(), state=PhotoState.APPROVED, at=LATER
        )


def test_nobody_decides_on_a_photo_of_their_own_household(visit: Visit) -> None:
    relative = ParticipantFactory.create(
        group=visit.group, household=visit.participant.household, code="REL"
    )

    with pytest.raises(NotAllowed):
        decide_photo(
            photo=keep(visit),
            reviewer=ReviewerFactory.create(participant=relative),
            state=PhotoState.APPROVED,
            at=LATER,
        )


def test_removed_photo_leaves_only_the_trail(
    visit: Visit, django_capture_on_commit_callbacks: Any
) -> None:
    gone, stays = keep(visit), keep(visit, pit=2)

    with django_capture_on_commit_callbacks(execute=True):
        count = remove_photos(Photo.objects.filter(pk=gone.pk), by="group G", at=LATER)

    assert count == 1
    assert list(Photo.objects.all()) == [stays]
    assert (is_stored(gone), is_stored(stays)) == (False, True)
    assert AuditEntry.objects.get(action="photo removed").actor == "group G"


@pytest.mark.django_db(transaction=True)
def test_file_stays_if_the_removal_is_rolled_back(visit: Visit) -> None:
    photo = keep(visit)

    with transaction.atomic():
        remove_photos(Photo.objects.all(), by="group G", at=LATER)
        transaction.set_rollback(True)

    assert Photo.objects.filter(pk=photo.pk).exists()
    assert is_stored(photo)


def test_photos_of_visits_are_removed_over_all_revisions(visit: Visit) -> None:
    keep(visit)
    Visit.objects.update(revision=2)
    PitFactory.create(visit=Visit.objects.get(), number=1)
    keep(visit, OTHER)
    other = PhotoFactory.create()

    assert remove_photos_of([visit], by="steward", at=LATER) == 2

    assert list(Photo.objects.all()) == [other]


def test_consent_that_ran_out_takes_its_photos_along(visit: Visit) -> None:
    visit.participant.consents.update(ends_on=(NOW + timedelta(days=30)).date())
    photo = keep(visit)
    stays = PhotoFactory.create(pit__visit=VisitFactory.create())

    assert remove_without_consent(by="office", at=LATER) == 0
    assert remove_without_consent(by="office", at=NOW + timedelta(days=31)) == 1

    assert not Photo.objects.filter(pk=photo.pk).exists()
    assert Photo.objects.filter(pk=stays.pk).exists()


@pytest.mark.parametrize(
    ("purpose", "decision", "left"),
    [
        ("photos", ConsentDecision.WITHDRAWN, 0),
        ("photos", ConsentDecision.REFUSED, 0),
        ("photos", ConsentDecision.GIVEN, 1),
        ("contact", ConsentDecision.WITHDRAWN, 1),
    ],
)
def test_answer_that_ends_the_consent_removes_the_photos_with_it(
    visit: Visit, purpose: str, decision: str, left: int, django_capture_on_commit_callbacks: Any
) -> None:
    """However it comes: here by no operation at all."""
    photo, other = keep(visit), PhotoFactory.create()

    with django_capture_on_commit_callbacks(execute=True):
        ConsentFactory.create(
            participant=visit.participant, purpose=purpose, decision=decision, decided_at=LATER
        )

    assert Photo.objects.filter(pk=photo.pk).count() == left
    assert is_stored(photo) is bool(left)
    assert Photo.objects.filter(pk=other.pk).exists()
