"""The check for visits sent twice."""

from tests.surveys.checks.visits import around, responses, visit


def test_twin_is_an_issue_that_does_not_say_which_one() -> None:
    known = around(twins=("QVD-A11-b", "QVD-A12"))

    (response,) = responses("ISSUE_POSSIBLE_DUPLICATE", visit(), known)

    assert response.result == "POTENTIAL_ISSUE"
    assert response.comment.startswith("2 other visit(s) have the same place, date and counts.")
    assert "QVD-A11-b" not in response.comment


def test_visit_without_twin_is_no_issue() -> None:
    (response,) = responses("ISSUE_POSSIBLE_DUPLICATE", visit(), around())

    assert response.result == "NOT_ISSUE"
