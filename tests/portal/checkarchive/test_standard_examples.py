"""The worked examples of the standards kit, where a copy lies on this machine."""

from pathlib import Path
from zipfile import ZipFile

import pytest
from django.conf import settings

from portal.checkarchive.inspection import inspect_archive

EXAMPLES = Path(settings.BASE_DIR).parent / "shared" / "standards" / "examples"

pytestmark = pytest.mark.skipif(not EXAMPLES.is_dir(), reason="no copies of the standards here")


@pytest.mark.parametrize("name", ["event-archive", "flat-archive"])
def test_example_has_no_finding(name: str, tmp_path: Path) -> None:
    path = tmp_path / "archive.zip"
    with ZipFile(path, "w") as target:
        for file in sorted((EXAMPLES / name).iterdir()):
            target.write(file, file.name)

    report = inspect_archive(path)

    assert [finding.as_line() for finding in report.findings] == []
