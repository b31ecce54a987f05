"""Three releases of a village, which most tests here read, made once for each module."""

from collections.abc import Iterator
from pathlib import Path
from shutil import copytree

import pytest
from pytest_django import DjangoDbBlocker

from surveys.visits.models import Visit
from tests.journeys.actors import Actor
from tests.modules import undone_at_the_end
from tests.portal.publication.villages import (
    household,
    release,
    village,
    village_group,
)


@pytest.fixture
def reader() -> Actor:
    """Return somebody without a token."""
    return Actor()


@pytest.fixture(scope="module")
def told(
    django_db_setup: None,  # noqa: ARG001 -- makes the database
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Path]:
    """Make three releases: one joins at the second, one changes and one leaves at the third.

    They stay until the module ends; returns the folder of their files.
    """
    files = tmp_path_factory.mktemp("files")
    with django_db_blocker.unblock(), undone_at_the_end(MEDIA_ROOT=files):
        group = village_group(named_publicly=True)
        homes = village(group, range(6))
        release(1)
        homes.append(household(group, 6))
        release(2)
        Visit.objects.filter(pk=homes[0].visit.pk).update(people_digging=7)
        Visit.objects.filter(pk=homes[1].visit.pk).update(state="in_review")
        release(3)
        yield files


@pytest.fixture
def three_releases(told: Path, files_folder: Path, db: None) -> list[Visit]:  # noqa: ARG001 -- what a test writes is undone
    """Return the visits of the three releases, with files of the test's own."""
    copytree(told, files_folder)
    return list(Visit.objects.order_by("id"))
