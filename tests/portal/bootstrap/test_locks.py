"""Lock files. Their form is pip's, "Requirements File Format" and "Secure installs"."""

from __future__ import annotations

import hashlib
from importlib import metadata
from pathlib import Path

import pytest

from portal.bootstrap import locks

ROOT = Path(__file__).resolve().parents[3]


def a_lock(folder: Path, text: str, name: str = locks.RUNTIME) -> locks.Lock:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return locks.Lock(path)


def test_pins_are_read_without_hashes_and_conditions(tmp_path: Path) -> None:
    lock = a_lock(
        tmp_path,
        "worm-counter==1.2 \\\n    --hash=sha256:aa\n"
        "only-elsewhere==3.0 ; sys_platform == 'win32' \\\n    --hash=sha256:bb\n"
        "last.one==4.0.post1\n",
    )

    assert lock.pins() == {"worm-counter": "1.2", "last.one": "4.0.post1"}


def test_digests_cover_the_lock_files_it_includes(tmp_path: Path) -> None:
    a_lock(tmp_path, "a==1\n", locks.RUNTIME)
    test_lock = a_lock(tmp_path, "a==1\nb==2\n", locks.TEST)

    assert test_lock.digests() == {
        locks.RUNTIME: hashlib.sha256(b"a==1\n").hexdigest(),
        locks.TEST: hashlib.sha256(b"a==1\nb==2\n").hexdigest(),
    }


def test_lacking_names_what_is_not_installed(tmp_path: Path) -> None:
    lock = a_lock(tmp_path, "pytest==1.0\nno-distribution-has-this-name==1.0\n")

    assert lock.lacking() == ["no-distribution-has-this-name"]


def test_differing_names_both_versions(tmp_path: Path) -> None:
    here = metadata.version("pytest")
    lock = a_lock(tmp_path, "pytest==1.0\nno-distribution-has-this-name==1.0\n")

    assert lock.differing() == [f"pytest {here} instead of 1.0"]


@pytest.mark.parametrize(
    ("smaller", "larger"),
    [
        (smaller, larger)
        for larger, all_smaller in locks.INCLUDED.items()
        for smaller in all_smaller
    ],
)
def test_each_lock_file_of_the_project_includes_the_smaller_ones(smaller: str, larger: str) -> None:
    included = locks.Lock(ROOT / smaller).pins()
    including = locks.Lock(ROOT / larger).pins()

    assert included.items() < including.items()


@pytest.mark.parametrize("name", locks.INCLUDED)
def test_every_pin_of_the_project_has_a_hash(name: str) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    requirements = text.replace("\\\n", " ").splitlines()

    assert requirements
    assert [line for line in requirements if "--hash=sha256:" not in line] == []
