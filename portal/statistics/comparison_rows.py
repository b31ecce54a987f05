"""A comparison as one flat row, the same wherever it is shown."""

from typing import Any

from portal.statistics.contrasts import Comparison, Pairing
from portal.statistics.findings import Unit
from portal.statistics.samples import PitSample

DIGITS = 4


def significant(value: float | None) -> float | None:
    """Return a number to four significant digits."""
    return None if value is None else float(f"{value:.{DIGITS}g}")


def comparison_row(comparison: Comparison) -> dict[str, Any]:
    """Return every part of a finding; p is given before and after adjustment."""
    finding = comparison.finding
    lower, upper = finding.interval or (None, None)
    return {
        "kit": comparison.kit,
        "steps": comparison.steps,
        "first": finding.first.name,
        "second": finding.second.name,
        "pairing": str(pairing_of(comparison)),
        "n": finding.n,
        "n_visits": comparison.n_visits,
        "n_sites": comparison.n_sites,
        **_sample("first", finding.first),
        **_sample("second", finding.second),
        "ratio": significant(finding.ratio),
        "lower": significant(lower),
        "upper": significant(upper),
        "p_value": significant(comparison.p_value),
        "p_adjusted": significant(finding.p_value),
        "outcome": finding.outcome.name.lower(),
        "method": finding.method,
        "sentence": finding.sentence,
        "caution": comparison.caution,
    }


def pairing_of(comparison: Comparison) -> Pairing:
    """Return whether pits of one visit were compared with each other."""
    return Pairing.PAIRED if comparison.finding.unit is Unit.VISITS else Pairing.UNPAIRED


def _sample(side: str, sample: PitSample) -> dict[str, Any]:
    return {
        f"{side}_count": sample.total_count,
        f"{side}_area_m2": round(sample.total_area_m2, 6),
        f"{side}_per_m2": round(sample.per_m2, 2),
    }
