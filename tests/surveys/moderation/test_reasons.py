"""Reason codes fit their decisions and explain themselves to the sender."""

import pytest

from surveys.moderation.models import Decision
from surveys.moderation.reasons import REASONS


@pytest.mark.parametrize("decision", [value for value in Decision.values if value != "accepted"])
def test_every_decision_but_acceptance_has_reasons(decision: str) -> None:
    assert [code for code, reason in REASONS.items() if decision in reason.decisions]


@pytest.mark.parametrize("code", REASONS)
def test_reason_is_a_text_for_known_decisions(code: str) -> None:
    reason = REASONS[code]

    assert reason.code == code
    assert reason.decisions
    assert reason.decisions <= set(Decision.values)
    assert all(said.endswith(".") for said in (reason.text, reason.why, reason.next_time))
    assert len({reason.text, reason.why, reason.next_time}) == 3
    assert len(code) <= 40  # as long as the column that keeps it
