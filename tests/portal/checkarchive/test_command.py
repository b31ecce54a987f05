"""The command line."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from portal.checkarchive.registry import all_rules
from tests.portal.checkarchive.archives import event_draft, flat_draft
from tests.portal.checkarchive.cases import EVENTS, FINDS


def test_clean_archive_ends_well(tmp_path: Path) -> None:
    out = StringIO()

    call_command("checkarchive", event_draft().pack(tmp_path), stdout=out)

    assert out.getvalue() == "0 errors, 0 warnings, 0 notes\n"


def test_error_ends_with_status_one(tmp_path: Path) -> None:
    draft, out = event_draft(), StringIO()
    draft.put(EVENTS, 2, countryCode="gb")

    with pytest.raises(SystemExit) as ended:
        call_command("checkarchive", draft.pack(tmp_path), stdout=out)

    assert ended.value.code == 1
    assert out.getvalue().startswith("event.txt:2 error country-code countryCode 'gb' Write")


def test_archive_that_cannot_be_read_ends_with_status_two(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be opened") as ended:
        call_command("checkarchive", tmp_path / "nowhere.zip")

    assert ended.value.returncode == 2


def test_command_without_archive_asks_for_one() -> None:
    with pytest.raises(CommandError, match="Name the archive") as ended:
        call_command("checkarchive")

    assert ended.value.returncode == 2


def test_rules_are_listed_each_on_a_line() -> None:
    out = StringIO()

    call_command("checkarchive", "--rules", stdout=out)

    listed = [line.split()[0] for line in out.getvalue().splitlines()]
    assert listed == [known.rule_id for known in all_rules()]


def test_options_reach_the_inspection(tmp_path: Path) -> None:
    draft, out = flat_draft(), StringIO()
    path = draft.pack(tmp_path)

    with pytest.raises(SystemExit):
        call_command(
            "checkarchive",
            path,
            "--json",
            "--limit=1",
            "--profile=2026-05",
            "--today=2026-01-01",
            stdout=out,
        )

    found = [json.loads(line) for line in out.getvalue().splitlines()]
    assert [(entry["rule"], entry.get("row"), entry.get("not_shown")) for entry in found] == [
        ("date-future", 2, None),
        ("status-word", 2, None),
        ("date-future", None, 2),
        ("status-word", None, 2),
    ]
    assert {entry["file"] for entry in found if "file" in entry} == {FINDS}


def test_size_limit_can_be_set(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="more than 1000 bytes; allow more with --max-bytes"):
        call_command("checkarchive", event_draft().pack(tmp_path), "--max-bytes=1000")
