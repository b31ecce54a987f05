"""Writing of a data package, beyond what the conformance checks see."""

import io
import json
from zipfile import ZipFile

import pytest

from portal.archive.data_package.tables import TABLES, definitions, field_names, file_name
from portal.archive.data_package.writing import write_data_package
from portal.archive.licences import UnknownLicenceError
from portal.records.models import Release
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    counts_of,
    pit_of,
    small_release,
)

pytestmark = pytest.mark.django_db


def package(release: Release) -> ZipFile:
    target = io.BytesIO()
    write_data_package(release, target)
    return ZipFile(target)


def lines(release: Release, table: str) -> list[str]:
    return package(release).read(file_name(table)).decode().split("\r\n")[1:-1]


def test_rows_of_each_file_are_told() -> None:
    small = small_release()

    told = write_data_package(small.release, io.BytesIO())

    assert told == {file_name(table): len(lines(small.release, table)) for table in TABLES}
    assert told["event.csv"] == told["survey.csv"] == 2 + 4 + 6  # visits, pits, steps


def test_package_of_an_old_release_keeps_to_its_rows() -> None:
    small = small_release()
    ReleaseFactory.create(number=2)
    PublishedVisitFactory.create(since_release=2)

    assert len(lines(small.release, "event")) == 12


def test_package_under_a_licence_nobody_takes_is_not_written() -> None:
    target = io.BytesIO()

    with pytest.raises(UnknownLicenceError):
        write_data_package(ReleaseFactory.create(licence_id="own terms"), target)

    assert target.getvalue() == b""


def test_zero_beside_animals_is_asserted_of_its_event_and_no_occurrence() -> None:
    pit = pit_of(PublishedVisitFactory.create(), management=None)
    counts_of(pit, "hand_sort", (0, 2, 0, 0))
    release = ReleaseFactory.create(number=1)

    zeros = [line for line in lines(release, "event-assertion") if "number of animals" in line]

    assert len(zeros) == 3
    assert len(lines(release, "occurrence")) == 1


def test_every_field_is_defined_by_a_term() -> None:
    descriptor = json.loads(package(ReleaseFactory.create(number=1)).read("datapackage.json"))

    assert [resource["name"] for resource in descriptor["resources"]] == list(TABLES)
    for table in TABLES:
        fields = definitions()[table]["schema"]["fields"]
        assert tuple(field["name"] for field in fields) == field_names(table)
        assert all(field["dcterms:isVersionOf"].startswith("http") for field in fields)
