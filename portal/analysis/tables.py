"""The findings as tables, the twins of the figures."""

import csv
import io
from collections.abc import Iterable, Mapping
from typing import Any

from portal.analysis.findings import Answered, DeepAnimals
from portal.archive.cells import csv_cell
from portal.statistics.comparison_rows import comparison_row


def ratio_rows(answers: Iterable[Answered]) -> list[dict[str, Any]]:
    """Return one row for each question, kit and steps."""
    return [
        {"question": answered.question.key, "title": answered.question.title}
        | comparison_row(comparison)
        for answered in answers
        for comparison in answered.comparisons
    ]


def deep_rows(groups: Iterable[DeepAnimals]) -> list[dict[str, Any]]:
    """Return one row for each ground, kit and steps; no figures where nothing was poured."""
    return [_deep_row(group) for group in groups]


def as_csv(rows: Iterable[Mapping[str, Any]]) -> str:
    """Return rows of the same columns as CSV (RFC 4180)."""
    target = io.StringIO(newline="")
    writer = csv.writer(target)
    head: list[str] = []
    for row in rows:
        if not head:
            head = list(row)
            writer.writerow(head)
        writer.writerow([csv_cell(row[name]) for name in head])
    return target.getvalue()


def _deep_row(group: DeepAnimals) -> dict[str, Any]:
    density = group.density
    return {
        "ground": group.ground,
        "kit": group.kit,
        "steps": group.steps,
        "n_pits": group.n_pits,
        "n_without": group.n_without,
        "total_count": density.total_count if density else None,
        "density_per_m2": round(density.per_m2, 2) if density else None,
        "lower_per_m2": round(density.lower_per_m2, 2) if density else None,
        "upper_per_m2": round(density.upper_per_m2, 2) if density else None,
        "interval": f"95 percent, {density.interval_method}" if density else None,
        "sentence": group.sentence,
    }
