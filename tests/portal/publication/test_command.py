"""``manage.py makerelease``."""

import io

import pytest
from django.core.management import CommandError, call_command

from portal.records.models import Release
from tests.factories.published import ReleaseFactory
from tests.portal.publication.villages import village, village_group

pytestmark = pytest.mark.django_db


def test_release_is_made_and_counted_aloud() -> None:
    village(village_group(), range(5))
    out = io.StringIO()

    call_command("makerelease", stdout=out)

    assert out.getvalue() == "Release 1: 5 visits, 10 pits, 30 counts.\n"


def test_refusal_is_told() -> None:
    ReleaseFactory.create(number=1, issued_at="2099-01-01T00:00:00Z")

    with pytest.raises(CommandError, match="go forward only"):
        call_command("makerelease")

    assert Release.objects.count() == 1
