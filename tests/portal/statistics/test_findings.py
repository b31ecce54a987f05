"""Verdicts in plain words, and Holm's adjustment against a worked case and statsmodels."""

from typing import Any

import pytest
from statsmodels.stats.multitest import multipletests

from portal.statistics.findings import Finding, Outcome, Unit, adjust_for_several, holm
from portal.statistics.samples import PitSample
from tests.reference_tables import statistics_check

LAWN = PitSample("lawn", (9,) * 8, (0.04,) * 8)
BED = PitSample("flower bed", (6,) * 8, (0.04,) * 8)
EMPTY = PitSample("bog", (0,) * 8, (0.04,) * 8)


def finding(outcome: Outcome, **values: Any) -> Finding:
    start: dict[str, Any] = {"first": LAWN, "second": BED, "unit": Unit.VISITS, "method": "m"}
    return Finding(**start | values, outcome=outcome)


@pytest.mark.parametrize(
    ("result", "sentence"),
    [
        (
            finding(Outcome.CLEAR, ratio=1.5, interval=(1.2, 1.9)),
            (
                "More in lawn: 1.50 times as many animals per m2 as in flower bed "
                "(95 % interval 1.20 to 1.90; 8 visits)."
            ),
        ),
        (
            finding(Outcome.CLEAR, ratio=0.5, interval=(0.04, 0.8)),
            (
                "More in flower bed: 2.00 times as many animals per m2 as in lawn "
                "(95 % interval 1.25 to 25; 8 visits)."
            ),
        ),
        (
            finding(Outcome.CLEAR, second=EMPTY),
            "A clear difference: animals were found only in lawn (72; 8 visits), none in bog.",
        ),
        (
            finding(Outcome.ONE_SIDE, first=EMPTY),
            (
                "No clear difference between bog and flower bed: animals were found only in "
                "flower bed (48; 8 visits), none in bog, too few to tell."
            ),
        ),
        (
            finding(Outcome.SPANS_ONE, ratio=1.5, interval=(0.9, 2.5), unit=Unit.PITS),
            (
                "No clear difference between lawn and flower bed: 1.50 times as many animals "
                "per m2 in lawn, but the 95 % interval 0.90 to 2.50 includes 1 (8 and 8 pits)."
            ),
        ),
        (
            finding(Outcome.TOO_FEW),
            "No clear difference between lawn and flower bed: 8 visits, but at least 6 are needed.",
        ),
        (
            finding(Outcome.TOO_FEW, unit=Unit.PITS),
            (
                "No clear difference between lawn and flower bed: 8 and 8 pits, "
                "but at least 5 of each are needed."
            ),
        ),
        (
            finding(Outcome.NOTHING_FOUND, unit=Unit.TWO_PITS),
            (
                "No clear difference between lawn and flower bed: nothing was found in either "
                "(these two pits only)."
            ),
        ),
        (
            finding(Outcome.ONE_VISIT),
            (
                "No clear difference between lawn and flower bed: all animals of one of them came "
                "from a single visit."
            ),
        ),
        (
            finding(Outcome.CLEAR, ratio=5.0, interval=(1.5, None), unit=Unit.TWO_PITS),
            (
                "More in lawn: 5.00 times as many animals per m2 as in flower bed "
                "(95 % interval 1.50 or more; these two pits only)."
            ),
        ),
    ],
)
def test_sentence_says_what_was_shown_and_why(result: Finding, sentence: str) -> None:
    assert result.sentence == sentence


@pytest.mark.parametrize("outcome", Outcome)
def test_only_a_clear_outcome_claims_a_difference(outcome: Outcome) -> None:
    result = finding(outcome, ratio=1.5, interval=(1.2, 1.9))

    assert result.clear == (outcome is Outcome.CLEAR)
    assert result.sentence.startswith("No clear difference") != result.clear


def test_holm_matches_worked_case() -> None:
    check = statistics_check("Holm adjustment")

    adjusted = holm(check["data"]["p_values"])

    assert adjusted == pytest.approx(check["expected"]["adjusted"])


@pytest.mark.parametrize("p_values", [[0.2], [0.04, 0.04, 0.9, 0.0001], [0.5, 0.6, 0.7]])
def test_holm_agrees_with_statsmodels(p_values: list[float]) -> None:
    assert holm(p_values) == pytest.approx(multipletests(p_values, method="holm")[1])


def test_several_findings_are_judged_together() -> None:
    weak = finding(Outcome.CLEAR, ratio=1.5, interval=(1.01, 2.2), p_value=0.04)
    strong = finding(Outcome.CLEAR, ratio=3.0, interval=(2.0, 4.5), p_value=0.0001)
    untested = finding(Outcome.TOO_FEW)

    judged_weak, judged_untested, judged_strong = adjust_for_several([weak, untested, strong])

    assert judged_weak.clear is True  # the largest of two keeps its p
    assert judged_untested == untested
    assert judged_strong.p_value == pytest.approx(0.0002)
    assert judged_strong.method == "m; p adjusted (Holm 1979)"


def test_a_finding_can_lose_its_clearness_among_several() -> None:
    weak = finding(Outcome.CLEAR, ratio=1.5, interval=(1.01, 2.2), p_value=0.04)
    other = finding(Outcome.SPANS_ONE, ratio=1.1, interval=(0.7, 1.7), p_value=0.6)

    judged, _ = adjust_for_several([weak, other])

    assert (judged.clear, judged.outcome) == (False, Outcome.SEVERAL)
    assert judged.sentence == (
        "No clear difference between lawn and flower bed: among so many comparisons one like "
        "this turns up by chance."
    )
