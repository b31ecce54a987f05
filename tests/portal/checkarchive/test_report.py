"""How findings are kept, counted and written."""

import json
from pathlib import Path

from portal.checkarchive.findings import Finding, cut
from portal.checkarchive.inspection import inspect_archive
from tests.portal.checkarchive.archives import event_draft, flat_draft
from tests.portal.checkarchive.cases import EML, EVENTS, FACTS, FINDS


def test_findings_beyond_the_limit_are_counted(tmp_path: Path) -> None:
    draft = flat_draft()
    for row in (2, 3, 4):
        draft.put(FINDS, row, eventDate="yesterday")

    report = inspect_archive(draft.pack(tmp_path), findings_per_rule=2)

    assert [(finding.rule, finding.row) for finding in report.findings] == [
        ("date-form", 2),
        ("date-form", 3),
    ]
    assert report.not_shown == {"date-form": 1}
    assert list(report.as_lines())[2:] == [
        "... and 1 more of date-form",
        "3 errors, 0 warnings, 0 notes",
    ]


def test_findings_are_sorted_by_file_and_row(tmp_path: Path) -> None:
    draft = event_draft()
    draft.put(FINDS, 2, basisOfRecord="seen")
    draft.put(EVENTS, 4, countryCode="gb")
    draft.put(EVENTS, 2, type="Survey")

    report = inspect_archive(draft.pack(tmp_path))

    assert [(finding.file, finding.row) for finding in report.findings] == [
        (EVENTS, 2),
        (EVENTS, 4),
        (FINDS, 2),
    ]


def test_warnings_and_notes_leave_the_status_clean(tmp_path: Path) -> None:
    draft = event_draft()
    draft.put(FINDS, 2, lifeStage="Adult", establishmentMeans="indigenous")

    report = inspect_archive(draft.pack(tmp_path))

    assert (report.count("warning"), report.count("note"), report.exit_status) == (1, 1, 0)


def test_error_makes_the_status_faulty_though_none_is_shown(tmp_path: Path) -> None:
    draft = event_draft()
    draft.put(FINDS, 2, basisOfRecord="seen")

    report = inspect_archive(draft.pack(tmp_path), findings_per_rule=0)

    assert (report.findings, report.exit_status) == ([], 1)


def test_json_has_one_object_for_each_finding_and_each_rest(tmp_path: Path) -> None:
    draft = event_draft()
    draft.put(EVENTS, 2, countryCode="gb")
    draft.put(EVENTS, 3, countryCode="gb")

    report = inspect_archive(draft.pack(tmp_path), findings_per_rule=1)

    finding, rest = map(json.loads, report.as_json_lines())
    assert finding == {
        "file": EVENTS,
        "row": 2,
        "column": "countryCode",
        "value": "gb",
        "rule": "country-code",
        "severity": "error",
        "message": "Write the two capital letters of the country.",
    }
    assert rest == {"rule": "country-code", "not_shown": 1}


def test_line_shows_control_characters_as_escapes(tmp_path: Path) -> None:
    draft = event_draft()
    draft.put(FACTS, 2, measurementValue="\x1b[2Jloam")

    (line, _sum) = inspect_archive(draft.pack(tmp_path)).as_lines()

    assert "\x1b" not in line
    assert "\\x1b[2Jloam" in line


def test_long_value_is_cut_at_eighty_characters() -> None:
    assert len(cut("x" * 81)) == 80
    assert cut("x" * 80) == "x" * 80


def test_line_leaves_out_what_is_empty() -> None:
    finding = Finding("archive.zip", 0, "", "notes.txt", "zip-hidden", "error", "Leave out.")

    assert finding.as_line() == "archive.zip error zip-hidden 'notes.txt' Leave out."


def test_child_of_an_id_that_stands_twice_is_judged_once(tmp_path: Path) -> None:
    draft = event_draft()
    draft.lines(EVENTS, 1, 2, 2, 2, 3, 4)
    draft.put(EVENTS, 6, eventDate="2026-04", day="")
    draft.swap(EML, "<calendarDate>2026-04-12", "<calendarDate>2026")

    report = inspect_archive(draft.pack(tmp_path))

    assert [(finding.rule, finding.row) for finding in report.findings] == [
        ("id-twice", 3),
        ("id-twice", 4),
        ("date-parent", 6),
    ]
