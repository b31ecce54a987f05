"""From figures to places along an axis."""

import math
from dataclasses import dataclass

LOWEST_RATIO, HIGHEST_RATIO = 0.05, 20.0
RATIO_TICKS = (0.1, 0.25, 0.5, 1.0, 2.0, 4.0, 10.0)
_STEPS = (1, 2, 5)


@dataclass(frozen=True)
class Scale:
    """An axis from ``left`` to ``right`` [px] for figures from ``low`` to ``high``."""

    left: float
    right: float
    low: float
    high: float
    by_ratio: bool = False  # equal ratios have equal lengths

    def place(self, figure: float) -> float:
        """Return where a figure lies; beyond the ends, the end."""
        held = min(max(figure, self.low), self.high)
        if self.by_ratio:
            share = math.log(held / self.low) / math.log(self.high / self.low)
        else:
            share = (held - self.low) / (self.high - self.low)
        return self.left + share * (self.right - self.left)

    def is_beyond(self, figure: float | None) -> bool:
        """Tell whether a figure, or no bound at all, lies off the axis."""
        return figure is None or not self.low <= figure <= self.high


def even_ticks(high: float) -> tuple[float, ...]:
    """Return four to ten round figures from 0 to at most ``high``, above 0."""
    magnitude = 10 ** math.floor(math.log10(high))
    steps = [step * size for size in (magnitude / 10, magnitude) for step in _STEPS]
    step = next(step for step in steps if high / step <= 10)  # noqa: PLR2004 -- at most ten
    return tuple(step * n for n in range(int(high / step + 1e-9) + 1))
