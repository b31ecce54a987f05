"""Text, tables and figures of one analysis, and the command that writes them."""

import csv
import io
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from portal.analysis.findings import answers_of
from portal.analysis.report import report_of
from portal.analysis.tables import as_csv
from portal.records.models import Release
from portal.statistics.comparison_rows import comparison_row
from portal.statistics.tallies import DEEP_NEED_A_DRENCH
from tests.factories.published import ReleaseFactory

FILES = ["report.txt", "findings.csv", "findings.svg", "deep-animals.csv", "deep-animals.svg"]


def test_report_gives_n_ratio_interval_and_sentence_of_each_finding(release: Release) -> None:
    text = report_of(release)["report.txt"]

    found = [
        row for answered in answers_of(release) for row in map(comparison_row, answered.comparisons)
    ]
    assert len(found) == 4
    for row in found:
        assert row["sentence"] in text
        if row["ratio"] is not None:
            assert f"ratio {row['ratio']} ({row['lower']} to {row['upper']})" in text
    assert "n 8 visits; ratio 3.074" in text
    assert "Left out: 1 pit, moisture not entered." not in text  # three are
    assert "Left out: 3 pits, moisture not entered." in text
    assert DEEP_NEED_A_DRENCH in text
    assert release.citation in text


def test_table_is_the_twin_of_the_figure(release: Release) -> None:
    files = report_of(release)

    rows = list(csv.DictReader(io.StringIO(files["findings.csv"])))

    assert [row["question"] for row in rows][:2] == ["tillage-paired", "tillage"]
    for row in rows:
        if row["ratio"]:
            assert f", {float(row['ratio']):.2f}, " in files["findings.svg"]
    (lawn, hedge) = csv.DictReader(io.StringIO(files["deep-animals.csv"]))
    assert (lawn["density_per_m2"], lawn["n_without"]) == ("25.0", "1")
    assert (hedge["density_per_m2"], hedge["n_without"], hedge["n_pits"]) == ("", "", "1")


def test_second_run_gives_the_same_bytes(release: Release) -> None:
    assert report_of(release) == report_of(release)


def test_table_without_rows_is_empty() -> None:
    assert as_csv([]) == ""


@pytest.mark.django_db
def test_empty_release_can_be_reported() -> None:
    files = report_of(ReleaseFactory.create(number=1))

    assert files["report.txt"].count("No kit and steps hold pits of both sides.") == 6
    assert files["findings.csv"] == ""


def test_command_prints_and_writes(
    release: Release, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("analyse", "--release", "1", "--out", str(tmp_path / "one"))
    first = capsys.readouterr().out
    call_command("analyse", "--out", str(tmp_path / "two"))

    assert first.startswith(report_of(release)["report.txt"])
    assert sorted(path.name for path in (tmp_path / "one").iterdir()) == sorted(FILES)
    for name in FILES:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_command_writes_beside_the_releases_if_no_folder_is_named(
    release: Release, files_folder: Path
) -> None:
    call_command("analyse", "--release", str(release.number))

    assert (files_folder / "analysis" / "release-1" / "findings.svg").exists()


@pytest.mark.django_db
@pytest.mark.parametrize("arguments", [["--release", "7"], []])
def test_command_refuses_a_release_that_is_not_there(arguments: list[str]) -> None:
    with pytest.raises(CommandError, match="no such release"):
        call_command("analyse", *arguments)
