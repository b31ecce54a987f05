"""The response shape refuses what the standard does not allow."""

import pytest

from surveys.checks.response import (
    Response,
    Result,
    Status,
    amended,
    cannot_run,
    compliant,
    filled_in,
    measured,
    no_issue,
    not_amended,
    not_compliant,
    potential_issue,
)


def test_response_without_comment_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a comment"):
        compliant("  ")


@pytest.mark.parametrize(
    ("status", "result"),
    [
        (Status.RUN_HAS_RESULT, None),
        (Status.AMENDED, None),
        (Status.FILLED_IN, None),
        (Status.NOT_AMENDED, {"dwc:day": "5"}),
        (Status.INTERNAL_PREREQUISITES_NOT_MET, Result.COMPLIANT),
        (Status.EXTERNAL_PREREQUISITES_NOT_MET, Result.NOT_COMPLIANT),
    ],
)
def test_response_with_result_against_its_status_is_refused(
    status: Status, result: Result | None
) -> None:
    with pytest.raises(ValueError, match="does not go with"):
        Response(status, result, "A comment.")


def test_fault_fills_its_text_with_arguments_kept_as_text() -> None:
    response = not_compliant("code", "Pit {pit}: {received} m.", "/pits/0", pit=1, received=2.5)

    assert response.comment == "Pit 1: 2.5 m."
    assert response.arguments == {"pit": "1", "received": "2.5"}
    assert response.pointer == "/pits/0"


@pytest.mark.parametrize(
    ("response", "is_fault", "is_proposal"),
    [
        (compliant("Fine."), False, False),
        (not_compliant("code", "Wrong."), True, False),
        (no_issue("Nothing seen."), False, False),
        (potential_issue("code", "Perhaps."), True, False),
        (cannot_run("Empty."), False, False),
        (not_amended("Nothing."), False, False),
        (amended({"dwc:day": "5"}, "Change."), False, True),
        (filled_in({"dwc:day": "5"}, "Fill."), False, True),
        (measured(0, "None."), False, False),
    ],
    ids=lambda value: value.comment if isinstance(value, Response) else str(value),
)
def test_response_knows_faults_and_proposals(
    *, response: Response, is_fault: bool, is_proposal: bool
) -> None:
    assert response.is_fault is is_fault
    assert response.is_proposal is is_proposal
