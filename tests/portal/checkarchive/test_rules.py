"""Every rule, broken one at a time."""

from pathlib import Path

import pytest

from portal.checkarchive.inspection import inspect_archive
from portal.checkarchive.registry import all_rules
from tests.portal.checkarchive.archives import Draft, event_draft, flat_draft
from tests.portal.checkarchive.cases import Case
from tests.portal.checkarchive.cases_of_files import ALL_OF_FILES
from tests.portal.checkarchive.cases_of_rows import ALL_OF_ROWS

CASES = ALL_OF_FILES + ALL_OF_ROWS


@pytest.mark.parametrize("draft", [event_draft(), flat_draft()], ids=["events", "occurrences"])
def test_archive_without_fault_has_no_finding(draft: Draft, tmp_path: Path) -> None:
    report = inspect_archive(draft.pack(tmp_path))

    assert report.findings == []


@pytest.mark.parametrize("case", CASES, ids=[f"{n}-{case.rule}" for n, case in enumerate(CASES)])
def test_broken_archive_has_the_one_finding_of_its_rule(case: Case, tmp_path: Path) -> None:
    draft = case.draft()
    case.spoil(draft)

    report = inspect_archive(draft.pack(tmp_path), case.yardstick)

    found = [(finding.rule, finding.file, finding.column) for finding in report.findings]
    assert found == [(case.rule, case.file, case.column)]
    assert case.row in {None, report.findings[0].row}


def test_every_rule_is_broken_by_a_case() -> None:
    broken = {case.rule for case in CASES}

    assert broken == {known.rule_id for known in all_rules()}
