"""Sending photos by HTTP, as a form."""

from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from surveys.people.models import Group
from tests.api.holders import VISITS
from tests.factories.private import ConsentFactory
from tests.journeys.actors import Actor
from tests.surveys.photos.pictures import encoded

PHOTOS = f"{VISITS}/QVD-S01/photos"


def agree_to_photos(group: Group, code: str = "QVD-07") -> None:
    """Record a consent to photos."""
    ConsentFactory.create(participant=group.participants.get(code=code), purpose="photos")


def send_photo(
    caller: Actor, content: bytes | None = None, address: str = PHOTOS, **changes: Any
) -> Any:
    """Send a photo; a field set to None is left out."""
    name = changes.pop("name", "IMG_0001 Tamsin at home.jpg")
    kind = changes.pop("content_type", "image/jpeg")
    file = SimpleUploadedFile(name, encoded() if content is None else content, kind)
    fields = {"file": file, "pit": "1", "kind": "soil"} | changes
    form = {key: value for key, value in fields.items() if value is not None}
    return caller.client.post(address, form, headers=caller.headers)
