"""Our own archives, judged by rules that share no code with what wrote them."""

from functools import partial
from pathlib import Path

import pytest

from portal.archive.package import write_archive, write_occurrence_archive
from portal.archive.profiles import Profile
from portal.checkarchive.inspection import inspect_archive
from portal.checkarchive.yardstick import Yardstick
from tests.factories.published import small_release

PROFILES: tuple[Profile, ...] = ("2023-09", "2026-05")
WRITERS = {"events": write_archive, "occurrences": write_occurrence_archive}


@pytest.mark.django_db
@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("form", list(WRITERS))
def test_own_archive_has_no_finding(form: str, profile: Profile, tmp_path: Path) -> None:
    path = tmp_path / "archive.zip"
    write = partial(WRITERS[form], profile=profile)
    with path.open("wb") as target:
        write(small_release().release, target)

    report = inspect_archive(path, Yardstick(profile=profile))

    assert [finding.as_line() for finding in report.findings] == []
