"""The findings of a release as text, tables and figures; a second run gives the same bytes."""

from collections.abc import Iterator
from pathlib import Path

from portal.analysis.figures import deep_figure, ratios_figure
from portal.analysis.findings import (
    Answered,
    DeepAnimals,
    answers_of,
    deep_animals_of,
)
from portal.analysis.questions import DEEP_TITLE
from portal.analysis.tables import as_csv, deep_rows, ratio_rows
from portal.records.models import Release
from portal.statistics.comparison_rows import comparison_row
from portal.statistics.contrasts import ADJUSTMENT, SAME_PLACE, Comparison
from portal.statistics.tallies import DEEP_NEED_A_DRENCH, KEPT_APART

RATIOS, DEEP = "findings", "deep-animals"


def report_of(release: Release) -> dict[str, str]:
    """Return the files of the analysis of a release by name; ``report.txt`` is also printed."""
    answers, deep = answers_of(release), deep_animals_of(release)
    return {
        "report.txt": "\n".join(_lines(release, answers, deep)) + "\n",
        f"{RATIOS}.csv": as_csv(ratio_rows(answers)),
        f"{RATIOS}.svg": ratios_figure(answers, f"{RATIOS}.csv"),
        f"{DEEP}.csv": as_csv(deep_rows(deep)),
        f"{DEEP}.svg": deep_figure(deep, f"{DEEP}.csv"),
    }


def write_files(files: dict[str, str], folder: Path) -> None:
    """Write the files into a folder, made if it is not there."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in files.items():
        (folder / name).write_bytes(text.encode("utf-8"))


def _lines(
    release: Release, answers: tuple[Answered, ...], deep: tuple[DeepAnimals, ...]
) -> Iterator[str]:
    yield f"What release {release.number} says"
    yield release.citation
    yield f"Licence: {release.licence_id}"
    yield ""
    yield KEPT_APART
    yield f"p is adjusted within each question ({ADJUSTMENT})."
    yield f"Caution: {SAME_PLACE}"
    for answered in answers:
        yield from ["", answered.question.title]
        for comparison in answered.comparisons:
            yield from _of_comparison(comparison)
        if not answered.comparisons:
            yield "  No kit and steps hold pits of both sides."
        for reason, number in answered.left_out.items():
            yield f"  Left out: {number} pit{'' if number == 1 else 's'}, {reason}."
    yield from ["", DEEP_TITLE, f"  {DEEP_NEED_A_DRENCH}"]
    for group in deep:
        yield f"  {group.kit}: {group.sentence}"


def _of_comparison(comparison: Comparison) -> Iterator[str]:
    row = comparison_row(comparison)
    yield f"  {comparison.sentence}"
    unit = str(comparison.finding.unit)
    figures = [f"n {row['n']} {unit.removesuffix('s') if row['n'] == 1 else unit}"]
    if row["ratio"] is not None:
        figures.append(f"ratio {row['ratio']} ({row['lower']} to {row['upper']})")
    if row["p_value"] is not None:
        figures.append(f"p {row['p_value']}, adjusted {row['p_adjusted']}")
    yield f"    {'; '.join(figures)}; {row['method']}"
    if comparison.caution:
        places = f"{row['n_sites']} place{'' if row['n_sites'] == 1 else 's'}"
        yield f"    from {places} on {row['n_visits']} visits: see the caution"
