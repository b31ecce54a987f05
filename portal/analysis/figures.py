"""The findings as figures: a point and its 95 percent interval on a line each."""

from collections.abc import Sequence

from portal.analysis.drawing import Drawing
from portal.analysis.findings import Answered, DeepAnimals
from portal.analysis.questions import DEEP_TITLE
from portal.analysis.scale import (
    HIGHEST_RATIO,
    LOWEST_RATIO,
    RATIO_TICKS,
    Scale,
    even_ticks,
)
from portal.statistics.comparison_rows import pairing_of
from portal.statistics.contrasts import Comparison, Pairing
from portal.statistics.tallies import DRENCHED

WIDTH, MARGIN, LEFT, RIGHT = 1040, 16, 330, 760
ROW_HEIGHT, HEAD_HEIGHT = 22, 64
RATIOS_TITLE = "Ratios of densities with 95 percent intervals"
RATIOS_SAID = (
    "One line for each question, kit and steps. A filled square and the word clear: the interval "
    "leaves out 1 after adjustment. An open circle: no clear difference. An arrow: the interval "
    "goes on beyond the figure. The same figures as a table: {table}."
)
DEEP_SAID = (
    "Animals per square metre by habitat, one line for each kit. Pits without a drench are listed "
    "without a point, as they say nothing about deep animals. The same figures as a table: {table}."
)
_HIGHEST_SHOWN_PER_M2 = 100.0


def ratios_figure(answers: Sequence[Answered], table: str) -> str:
    """Return the ratios of all questions; ``table`` names their table twin."""
    drawing = Drawing(WIDTH, RATIOS_TITLE, RATIOS_SAID.format(table=table))
    scale = Scale(LEFT, RIGHT, LOWEST_RATIO, HIGHEST_RATIO, by_ratio=True)
    drawing.text(MARGIN, 20, RATIOS_TITLE, bold=True)
    drawing.text(LEFT, 38, "more in the second")
    drawing.text(RIGHT, 38, "more in the first", anchor="end")
    y = float(HEAD_HEIGHT)
    for answered in answers:
        y += ROW_HEIGHT
        drawing.text(MARGIN, y, answered.question.title, bold=True)
        for comparison in answered.comparisons:
            y += ROW_HEIGHT
            _ratio_row(drawing, scale, y, comparison)
    _axis(drawing, scale, RATIO_TICKS, y + ROW_HEIGHT)
    drawing.line((scale.place(1), HEAD_HEIGHT), (scale.place(1), y + ROW_HEIGHT), dashed=True)
    return drawing.svg(y + 2 * ROW_HEIGHT + MARGIN)


def deep_figure(rows: Sequence[DeepAnimals], table: str) -> str:
    """Return deep-burrowing adults by habitat; ``table`` names their table twin."""
    drawing = Drawing(WIDTH, DEEP_TITLE, DEEP_SAID.format(table=table))
    tops = [row.density.upper_per_m2 for row in rows if row.density]
    high = min(max(tops, default=1.0), _HIGHEST_SHOWN_PER_M2)
    scale = Scale(LEFT, RIGHT, 0, high)
    drawing.text(MARGIN, 20, DEEP_TITLE, bold=True)
    drawing.text(RIGHT, 38, "animals per square metre", anchor="end")
    y, kit = float(HEAD_HEIGHT), ""
    for row in rows:
        way = _way(row.kit, row.steps)
        if way != kit:
            y, kit = y + ROW_HEIGHT, way
            drawing.text(MARGIN, y, way, bold=True)
        y += ROW_HEIGHT
        _deep_row(drawing, scale, y, row)
    _axis(drawing, scale, even_ticks(high), y + ROW_HEIGHT)
    return drawing.svg(y + 2 * ROW_HEIGHT + MARGIN)


def _ratio_row(drawing: Drawing, scale: Scale, y: float, comparison: Comparison) -> None:
    finding = comparison.finding
    unit = "visit" if pairing_of(comparison) is Pairing.PAIRED else "pit"
    found = _number_of(finding.n, unit)
    drawing.text(MARGIN + 12, y, _way(comparison.kit, comparison.steps))
    if finding.ratio is None or finding.interval is None:
        outcome = "clear, found on one side only" if finding.clear else str(finding.outcome)
        drawing.text(RIGHT + 20, y, f"{found}: {outcome}")
        return
    lower, upper = finding.interval
    _interval(drawing, scale, y - 4, (lower, upper))
    mark = drawing.square if finding.clear else drawing.circle
    mark(scale.place(finding.ratio), y - 4)
    verdict = "clear" if finding.clear else "no clear difference"
    drawing.text(RIGHT + 20, y, f"{found}, {finding.ratio:.2f}, {verdict}")


def _deep_row(drawing: Drawing, scale: Scale, y: float, row: DeepAnimals) -> None:
    found = _number_of(row.n_pits, "pit")
    drawing.text(MARGIN + 12, y, row.ground)
    if row.density is None:
        drawing.text(LEFT, y, f"{found}: nothing is said, as nothing was poured")
        return
    density = row.density
    _interval(drawing, scale, y - 4, (density.lower_per_m2, density.upper_per_m2))
    drawing.square(scale.place(density.per_m2), y - 4)
    told = f"{found}, {density.per_m2:.1f}, none in {row.n_without}"
    drawing.text(RIGHT + 20, y, told)


def _interval(
    drawing: Drawing, scale: Scale, y: float, interval: tuple[float, float | None]
) -> None:
    lower, upper = interval
    start = scale.place(lower)
    end = scale.right if upper is None else scale.place(upper)
    drawing.line((start, y), (end, y))
    if scale.is_beyond(lower):
        drawing.arrow(start, y, right=False)
    if scale.is_beyond(upper):
        drawing.arrow(end, y, right=True)


def _axis(drawing: Drawing, scale: Scale, ticks: Sequence[float], y: float) -> None:
    drawing.line((scale.left, y), (scale.right, y))
    for tick in ticks:
        drawing.line((scale.place(tick), y), (scale.place(tick), y + 5))
        drawing.text(scale.place(tick), y + 18, f"{tick:g}", anchor="middle")


def _way(kit: str, steps: str) -> str:
    return f"{kit}, {'drenched' if steps == DRENCHED else 'by hand only'}"


def _number_of(n: int, unit: str) -> str:
    return f"n {n} {unit}{'' if n == 1 else 's'}"
