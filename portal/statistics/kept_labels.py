"""How far recorded groups stood after review, as far as numbers by label tell.

Published lines hold a number before and after review, not a label per animal: what left one group
and what came to another are known, but not which went where. So there is no table of confusion
here and no kappa, only the animals that can have kept their label.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

MIN_PITS = 5  # project rule: nothing is said on fewer pits
MIN_ANIMALS = 5  # project rule, likewise


@dataclass(frozen=True)
class KeptLabel:
    """One group: animals recorded, animals after review, and those that can have kept it.

    ``share`` is kept over recorded with its 95 percent limits; None below five recorded animals.
    """

    group: str
    n_recorded: int
    n_verified: int
    n_kept: int
    share: float | None
    lower: float | None
    upper: float | None


@dataclass(frozen=True)
class KeptLabels:
    """Pits with a counted line, those that a reviewer determined anew, and every group."""

    n_pits: int
    n_pits_determined: int
    groups: tuple[KeptLabel, ...]


def kept_labels(rows: Iterable[Mapping[str, Any]], determined: str) -> KeptLabels:
    """Compare recorded with reviewed numbers by group; no group is told below five pits.

    Parameters
    ----------
    rows : iterable of mapping
        Counted lines: `pit_id`, `phase_id`, `group`, `stage`, `number`, `number_recorded` and
        `verification`.
    determined : str
        The word of `verification` for lines that were determined anew.
    """
    before: Counter[tuple[Any, str, str]] = Counter()
    after: Counter[tuple[Any, str, str]] = Counter()
    pits, pits_determined = set(), set()
    for row in rows:
        line = (row["phase_id"], row["stage"], row["group"])
        before[line] += row["number_recorded"]
        after[line] += row["number"]
        pits.add(row["pit_id"])
        if row["verification"] == determined:
            pits_determined.add(row["pit_id"])
    groups = sorted({group for _, _, group in before}) if len(pits) >= MIN_PITS else []
    told = tuple(_of_group(group, before, after) for group in groups)
    return KeptLabels(len(pits), len(pits_determined), told)


def _of_group(
    group: str, before: Counter[tuple[Any, str, str]], after: Counter[tuple[Any, str, str]]
) -> KeptLabel:
    lines = [line for line in before if line[2] == group]
    recorded = sum(before[line] for line in lines)
    kept = sum(min(before[line], after[line]) for line in lines)
    share, lower, upper = _wilson(kept, recorded) if recorded >= MIN_ANIMALS else (None,) * 3
    verified = sum(after[line] for line in lines)
    return KeptLabel(group, recorded, verified, kept, share, lower, upper)


def _wilson(kept: int, n: int) -> tuple[float, float, float]:
    """Return a share with limits (Wilson 1927, J. Am. Stat. Assoc. 22:209-212)."""
    from statsmodels.stats.proportion import proportion_confint  # noqa: PLC0415 -- slow to load

    lower, upper = proportion_confint(kept, n, method="wilson")
    return kept / n, float(lower), float(upper)
