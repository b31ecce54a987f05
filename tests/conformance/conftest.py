"""A release with every kind of row that an archive must carry."""

import io
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from django.test import override_settings
from pytest_django import DjangoDbBlocker, Settings

from portal.archive.package import write_occurrence_archive
from portal.archive.release_files import FILE_KINDS
from portal.records.models import PublishedCount, PublishedPit, Release
from tests.conformance.reading import Archive, archive_of
from tests.factories.published import (
    PublishedVisitFactory,
    SmallRelease,
    count_of,
    counts_of,
    judged,
    pit_of,
    place_columns,
    small_release,
)

OWN_SETTINGS: dict[str, Any] = {
    "PUBLIC_URL": "https://data.example.org",
    "DATASET_DOI": "",
    "DWC_PROFILE": "2023-09",
    "DATA_PACKAGE": True,
    "DATASET": {
        "name": "Soil animals of paired pits",
        "rights_holder": "Example Soil Survey Consortium",
        "contact": "data@example.org",
        "code": "ESSC",
        "country_code": "",
        "country_box": "",
        "region": "Wennish Levels",
        "notice": "Invented data.",
    },
}

AWKWARD_TEXT = 'key\tby\r\nfeel\u2028said "so"\x07 cafe\u0301 '
TIDY_TEXT = 'key by  feel said "so" café'
PLANTED_REMARK = "gate code 4711"  # in columns that must not be exported

SPECIES_LINES = (
    ("epigeic", "adult", "Lumbricus rubellus", 2),
    ("anecic", "adult", "Lumbricus terrestris", 0),
    ("endogeic", "adult", "Aporrectodea cf. rosea", 1),
    ("unassigned", "juvenile", None, 0),
)
# Nothing was left without a name here, so that the species that was not found is absent.
DRENCH_LINES = (
    ("epigeic", "adult", "Lumbricus rubellus", 1),
    ("anecic", "adult", "Lumbricus terrestris", 0),
    ("unassigned", "juvenile", None, 0),
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Say of each test that reads the release that a database must be there to write it."""
    for item in items:
        if "written" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.django_db)


@dataclass(frozen=True)
class Written:
    """A release, the rows it was made from, and all of its files.

    Both forms of archive are there in both profiles.
    """

    small: SmallRelease
    archive: Archive
    newer: Archive
    flat: Archive
    flat_newer: Archive
    files: dict[str, bytes]


@pytest.fixture(scope="session")
def written(
    django_db_setup: None,  # noqa: ARG001 -- makes the database
    django_db_blocker: DjangoDbBlocker,
) -> Written:
    """Return one release written once, since most checks only read; its rows are gone again."""
    with django_db_blocker.unblock(), override_settings(**OWN_SETTINGS), transaction.atomic():
        found = written_out(everything())
        transaction.set_rollback(True)
    return found


def written_out(small: SmallRelease) -> Written:
    """Write every file of a release."""
    return Written(
        small,
        archive_of(small.release),
        archive_of(small.release, profile="2026-05"),
        archive_of(small.release, write=write_occurrence_archive),
        archive_of(small.release, profile="2026-05", write=write_occurrence_archive),
        files_of(small.release),
    )


def files_of(release: Release) -> dict[str, bytes]:
    """Return every kind of file of a release, by name."""
    files = {}
    for kind in FILE_KINDS:
        target = io.BytesIO()
        kind.write(release, target)
        files[kind.name] = target.getvalue()
    return files


@pytest.fixture
def archive(written: Written) -> Archive:
    """Return the archive of a release with every kind of row."""
    return written.archive


@pytest.fixture
def flat(written: Written) -> Archive:
    """Return the archive of occurrences alone of the same release."""
    return written.flat


@pytest.fixture
def newer(written: Written) -> Archive:
    """Return the archive in the newer profile."""
    return written.newer


@pytest.fixture
def flat_newer(written: Written) -> Archive:
    """Return the archive of occurrences alone in the newer profile."""
    return written.flat_newer


@pytest.fixture(params=["archive", "newer", "flat", "flat_newer"])
def form(written: Written, request: pytest.FixtureRequest) -> Archive:
    """Return each form of archive in each profile."""
    found: Archive = getattr(written, request.param)
    return found


@pytest.fixture(autouse=True)
def own_settings(settings: Settings) -> None:
    """Name the installation, whatever the environment says."""
    for name, value in OWN_SETTINGS.items():
        setattr(settings, name, value)


def everything() -> SmallRelease:
    """Make a release of a garden, a school, a farm by species, and a place that is not shown."""
    small = small_release()
    _add_farm(small)
    _add_unshown_garden(small)
    return small


def _add_farm(small: SmallRelease) -> None:
    farm = PublishedVisitFactory.create(
        protocol="species-pit/1",
        sampled_on="2025-04-02",
        sampled_first_on=date(2025, 4, 2),
        sampled_last_on=date(2025, 4, 2),
        remarks=PLANTED_REMARK,
        group_code=PLANTED_REMARK,
        habitats=["crop field"],
        pits=1,
        **place_columns("1|52|-1"),
    )
    pit = pit_of(
        farm,
        habitat="crop field",
        management=["ploughed", "direct drilled"],
        width_cm=25.0,
        length_cm=25.0,
        depth_cm=29.0,
        area_m2=0.0625,
        texture_key=AWKWARD_TEXT,
    )
    small.visits.append(farm)
    small.pits.append(pit)
    small.counts += _counts_by_species(pit, "hand_sort", SPECIES_LINES)
    small.counts += _counts_by_species(pit, "expellant", DRENCH_LINES)


def _counts_by_species(
    pit: PublishedPit, method: str, lines: Iterable[tuple[str, str, str | None, int]]
) -> list[PublishedCount]:
    phase = uuid4()
    counts = [
        count_of(
            pit,
            method=method,
            phase_id=phase,
            group=group,
            stage=stage,
            taxon=taxon,
            number=number,
            verification="verified by specialist",
        )
        for group, stage, taxon, number in lines
    ]
    judged(counts)
    return counts


def _add_unshown_garden(small: SmallRelease) -> None:
    garden = PublishedVisitFactory.create(
        country_code=None, habitats=["lawn"], pits=1, **place_columns("root")
    )
    # Coordinates that should not be here: level 0 must keep them back whatever the row says.
    pit = pit_of(garden, latitude=52.1234567, longitude=-0.7654321, uncertainty_m=5)
    small.visits.append(garden)
    small.pits.append(pit)
    small.counts += counts_of(pit, "hand_sort", (0, 1, "not_looked_for", 0))
