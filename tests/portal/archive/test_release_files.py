"""Which files a release has."""

import pytest
from pytest_django import Settings

from portal.archive.release_files import FILE_KINDS, LABELS, kinds_to_build


@pytest.mark.parametrize("wanted", [True, False])
def test_data_package_is_built_only_where_it_is_wanted(settings: Settings, *, wanted: bool) -> None:
    settings.DATA_PACKAGE = wanted

    names = [kind.name for kind in kinds_to_build()]

    assert ("data-package.zip" in names) is wanted
    assert len(names) == len(FILE_KINDS) - (not wanted)


def test_labels_tell_what_must_not_be_mixed_and_what_may_change() -> None:
    assert "one of the two, never both" in LABELS["flat-archive.zip"]
    assert "experimental" in LABELS["data-package.zip"]
