"""Agreement of reviewers by HTTP."""

import pytest

from surveys.people.models import Reviewer
from tests.api.holders import holder_of
from tests.factories.private import ReviewerFactory, ReviewFactory, VisitFactory

AGREEMENT = "/api/v1/review/agreement"

pytestmark = pytest.mark.django_db


@pytest.fixture
def reviewers() -> list[Reviewer]:
    """Return three reviewers, of whom the first two looked at six visits and agreed on five."""
    first, second, other = (ReviewerFactory.create(code=f"V{n}") for n in (1, 2, 3))
    for number in range(6):
        visit = VisitFactory.create(participant__group__code=f"G-{number}")
        last = {"decision": "declined", "reason_code": "double"} if number == 5 else {}
        ReviewFactory.create(visit=visit, round=1, reviewer=first, standing="heard")
        ReviewFactory.create(visit=visit, round=1, look=2, reviewer=second, **last)
    return [first, second, other]


def test_agreement_is_told_with_its_interval(reviewers: list[Reviewer]) -> None:
    answer = holder_of(reviewers[0], "review").get(AGREEMENT).json()

    (pair,) = answer["pairs"]
    assert (pair["reviewers"], pair["n_visits"]) == (["V1", "V2"], 6)
    # Wilson 1927, 5 of 6: 43.6 to 97.0 percent, by the formula
    assert pair["agreed"]["lower"] == pytest.approx(0.4365, abs=5e-4)
    assert pair["agreed"]["upper"] == pytest.approx(0.9699, abs=5e-4)
    assert pair["kappa"]["kappa"] == 0  # one of them used one label only: as good as chance
    assert pair["decisions"]["accepted"]["declined"] == 1
    assert len(answer["groups"]) == 6
    assert {group["sentence"] for group in answer["groups"]} == {
        "Visits looked at twice: not enough yet."
    }
    assert answer["all"]["n_visits"] == 6


def test_reviewer_reads_own_pairs_and_a_steward_all(reviewers: list[Reviewer]) -> None:
    steward = ReviewerFactory.create(is_steward=True)

    read = [holder_of(one, "review").get(AGREEMENT).json() for one in (reviewers[2], steward)]

    assert [len(answer["pairs"]) for answer in read] == [0, 1]


def test_agreement_takes_no_parameters(reviewers: list[Reviewer]) -> None:
    assert holder_of(reviewers[0], "review").get(f"{AGREEMENT}?by=x").status_code == 400
