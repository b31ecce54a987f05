"""Take photos in, decide on them, and remove them with their files."""

import hashlib
import uuid
from collections.abc import Sequence
from datetime import datetime
from functools import partial

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import QuerySet

from surveys.audit.operations import record
from surveys.people.models import Consent, ConsentPurpose, Participant, Reviewer
from surveys.people.permissions import may_review
from surveys.photos.models import Photo, PhotoKind, PhotoReason, PhotoState
from surveys.photos.picture import Picture
from surveys.photos.storage import private_files
from surveys.visits.models import Pit, Visit, VisitState

MOST_PER_PIT = 10
_CLOSED = {VisitState.DECLINED, VisitState.WITHDRAWN}


class NoConsent(Exception):  # noqa: N818 -- reads as what happened
    """The recorder has not consented to photos, or not any more."""


class NotKept(Exception):  # noqa: N818 -- reads as what happened
    """The visit takes no photo like this; the message says why."""


class NotAllowed(Exception):  # noqa: N818 -- reads as what happened
    """The reviewer may not decide on photos of this person."""


class NotDecidable(Exception):  # noqa: N818 -- reads as what happened
    """The photo is decided already."""


def require_photo_consent(participant: Participant, *, at: datetime) -> Consent:
    """Return the consent to photos that holds; ask before a file is even read.

    Raises
    ------
    NoConsent
        If none holds.
    """
    held = Consent.objects.in_force(ConsentPurpose.PHOTOS, at).filter(participant=participant)
    consent = held.first()
    if consent is None:
        msg = f"Participant {participant.code} has no consent to photos in force."
        raise NoConsent(msg)
    return consent


def hold_photos_of(participant: Participant) -> None:
    """Let no photo of a person come in while their consent ends, nor the other way round.

    Call it inside a transaction, before a visit is locked.
    """
    Participant.objects.select_for_update(no_key=True).get(pk=participant.pk)


@transaction.atomic
def keep_photo(
    *, visit: Visit, pit_number: int, kind: PhotoKind, picture: Picture, at: datetime
) -> tuple[Photo, bool]:
    """Keep a rebuilt picture of a pit of the newest revision; True if it is new.

    The same picture of the same pit is kept once, also when it comes again after a correction.

    Raises
    ------
    NoConsent
        If the recorder's consent to photos does not hold.
    NotKept
        If the visit is closed, has no such pit, or the pit has enough photos.
    """
    hold_photos_of(visit.participant)
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    consent = require_photo_consent(visit.participant, at=at)
    pit = _open_pit(visit, pit_number)
    sha256 = hashlib.sha256(picture.content).hexdigest()
    earlier = Photo.objects.filter(pit__visit=visit, pit__number=pit_number)
    same = earlier.filter(sha256=sha256).select_related("pit").first()
    if same is not None:
        return same, False
    if earlier.count() >= MOST_PER_PIT:
        msg = f"Pit {pit_number} has {MOST_PER_PIT} photos already."
        raise NotKept(msg)
    photo = Photo.objects.create(
        public_key=uuid.uuid4(),
        pit=pit,
        kind=kind,
        consent=consent,
        sha256=sha256,
        size_bytes=len(picture.content),
        width_px=picture.width_px,
        height_px=picture.height_px,
        received_at=at,
    )
    private_files().save(photo.storage_name, ContentFile(picture.content))
    _note(photo, "photo received", by=f"group {visit.group.code}", at=at)
    return photo, True


@transaction.atomic
def decide_photo(
    *,
    photo: Photo,
    reviewer: Reviewer,
    state: PhotoState,
    at: datetime,
    reason_code: PhotoReason | None = None,
) -> Photo:
    """Approve a held photo, or refuse it for a reason; refusing deletes the file.

    An approved photo can still be refused, for a face may be seen late.

    Raises
    ------
    NotAllowed
        If the photo is the reviewer's own or of the same household.
    NotDecidable
        If the photo is decided already, or gone.
    """
    if not may_review(reviewer, photo.pit.visit.participant):
        msg = "Nobody reviews their own record or one of their household."
        raise NotAllowed(msg)
    current = Photo.objects.select_for_update().filter(pk=photo.pk).first()
    if current is None or current.state in {PhotoState.REFUSED, state}:
        msg = f"The photo is {current.state if current else 'removed'} already."
        raise NotDecidable(msg)
    current.state, current.decided_at, current.decided_by = state, at, reviewer
    current.reason_code = reason_code or ""
    current.save(update_fields=["state", "decided_at", "decided_by", "reason_code"])
    if state == PhotoState.REFUSED:
        _delete_after_commit(current)
    _note(current, f"photo {state}", by=f"reviewer {reviewer.code}", at=at)
    return current


@transaction.atomic
def remove_photos(photos: QuerySet[Photo], *, by: str, at: datetime) -> int:
    """Remove photos for good, their files after the commit; returns how many."""
    found = list(photos.select_related("pit__visit__group"))
    for photo in found:
        _note(photo, "photo removed", by=by, at=at)
        _delete_after_commit(photo)
    Photo.objects.filter(pk__in=[photo.pk for photo in found]).delete()
    return len(found)


def remove_photos_of(visits: Sequence[Visit], *, by: str, at: datetime) -> int:
    """Remove every photo of visits that are taken back or erased."""
    return remove_photos(Photo.objects.filter(pit__visit__in=visits), by=by, at=at)


def remove_without_consent(*, by: str, at: datetime, participant: Participant | None = None) -> int:
    """Remove the photos of those whose consent to photos has ended: of one person, or of all."""
    photos = Photo.objects.exclude(
        pit__visit__participant__in=Consent.objects.in_force(ConsentPurpose.PHOTOS, at).values(
            "participant"
        )
    )
    if participant is not None:
        photos = photos.filter(pit__visit__participant=participant)
    return remove_photos(photos, by=by, at=at)


def _open_pit(visit: Visit, number: int) -> Pit:
    """Return a pit that takes photos.

    Raises
    ------
    NotKept
        If the visit is closed or has no such pit.
    """
    if visit.state in _CLOSED:
        msg = f"The visit is {visit.state} and takes no photos."
        raise NotKept(msg)
    pit = visit.current_pits().filter(number=number).first()
    if pit is None:
        msg = f"The visit has no pit {number}."
        raise NotKept(msg)
    return pit


def _delete_after_commit(photo: Photo) -> None:
    # A file that cannot be deleted now is found later by delete_stray_files.
    transaction.on_commit(partial(private_files().delete, photo.storage_name), robust=True)


def _note(photo: Photo, action: str, *, by: str, at: datetime) -> None:
    visit = photo.pit.visit
    record(
        actor=by,
        action=action,
        kind="visit",
        key=f"{visit.group.code}/{visit.client_ref}",
        at=at,
        photo=str(photo.public_key),
    )
