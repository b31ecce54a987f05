"""Files that no photo stands for are deleted, once they are settled."""

import io
import os
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.management import call_command
from django.utils import timezone

from surveys.photos.models import Photo, PhotoKind
from surveys.photos.operations import keep_photo
from surveys.photos.picture import rebuilt
from surveys.photos.storage import private_files
from surveys.photos.tidying import SETTLED_AFTER, delete_stray_files
from surveys.visits.models import Visit
from tests.factories.private import NOW
from tests.surveys.photos.pictures import encoded

STRAY = "photos/ab/abandoned.jpg"

pytestmark = pytest.mark.django_db


def kept(visit: Visit) -> Photo:
    picture = rebuilt(encoded())
    return keep_photo(visit=visit, pit_number=1, kind=PhotoKind.PIT, picture=picture, at=NOW)[0]


def test_empty_store_has_nothing_to_tidy() -> None:
    assert delete_stray_files(at=timezone.now()) == 0


def test_stray_file_goes_and_standing_one_stays(visit: Visit) -> None:
    photo = kept(visit)
    private_files().save(STRAY, ContentFile(b"x"))
    later = timezone.now() + SETTLED_AFTER + timedelta(minutes=1)

    assert delete_stray_files(at=timezone.now()) == 0, "it may be of an act under way"
    assert delete_stray_files(at=later) == 1

    assert private_files().exists(photo.storage_name)
    assert not private_files().exists(STRAY)


def test_command_removes_photos_without_consent_and_old_strays(visit: Visit) -> None:
    kept(visit)
    visit.participant.consents.update(ends_on=NOW.date())
    private_files().save(STRAY, ContentFile(b"x"))
    two_hours_ago = (timezone.now() - timedelta(hours=2)).timestamp()
    os.utime(Path(private_files().path(STRAY)), (two_hours_ago, two_hours_ago))
    out = io.StringIO()

    call_command("tidyphotos", stdout=out)

    assert out.getvalue() == "1 photos without consent removed, 1 stray files deleted.\n"
    assert not Photo.objects.exists()
