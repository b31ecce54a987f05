"""Which photos a group sent, and which wait for a reviewer."""

import uuid
from datetime import datetime

from django.db.models import QuerySet

from surveys.people.models import Reviewer
from surveys.people.permissions import may_review
from surveys.photos.models import Photo
from surveys.visits.models import Visit

_WITH = ("pit__visit__group", "pit__visit__participant")


def photos_of(visit: Visit) -> QuerySet[Photo]:
    """Return a visit's photos, those of earlier revisions too, in the order they came."""
    return Photo.objects.filter(pit__visit=visit).select_related("pit").order_by("id")


def photos_for(reviewer: Reviewer, *, state: str, at: datetime) -> list[Photo]:
    """Return the photos in a state that a reviewer may look at, oldest first."""
    found = Photo.objects.viewable(at).filter(state=state).select_related(*_WITH).order_by("id")
    return [photo for photo in found if may_review(reviewer, photo.pit.visit.participant)]


def photo_to_review(key: uuid.UUID, *, at: datetime) -> Photo | None:
    """Return a photo that can be looked at now."""
    return Photo.objects.viewable(at).filter(public_key=key).select_related(*_WITH).first()
