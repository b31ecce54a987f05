"""Agreement of two blind looks, against a published table."""

from typing import Any

import pytest

from surveys.moderation.agreement import TwoLooks, agreement, agreement_by, two_looks
from surveys.science.agreement import NOT_ENOUGH
from surveys.visits.models import Visit
from tests.factories.private import NOW, ReviewerFactory, ReviewFactory, VisitFactory
from tests.reference_tables import document

# Tables with kappa as the sources named in the file print it.
PUBLISHED = document("agreement_checks.json")["kappa"]
FOUR = ("accepted", "accepted_with_change", "asked_back", "declined")


def looks_of(table: list[list[int]]) -> list[TwoLooks]:
    """Return looks whose decisions, first by second, make up a table."""
    return [
        TwoLooks("QVD", ("V1", "V2"), (FOUR[row], FOUR[column]))
        for row, cells in enumerate(table)
        for column, n in enumerate(cells)
        for _ in range(n)
    ]


@pytest.mark.parametrize("case", PUBLISHED)
def test_kappa_of_looks_is_that_of_the_published_table(case: dict[str, Any]) -> None:
    found = agreement(looks_of(case["table"]))

    n = sum(map(sum, case["table"]))
    assert found.n_visits == n
    assert found.kappa.kappa == pytest.approx(case["kappa"], abs=6e-4)
    assert found.kappa.lower is not None
    assert found.kappa.upper is not None
    assert found.kappa.lower < case["kappa"] < found.kappa.upper


def test_nothing_is_said_of_few_visits() -> None:
    found = agreement(looks_of([[3, 0], [1, 0]]))

    assert (found.n_visits, found.agreed) == (4, None)
    assert (found.kappa.kappa, found.kappa.method) == (None, NOT_ENOUGH)


def test_pair_of_reviewers_is_one_pair_whoever_looked_first() -> None:
    looks = [
        TwoLooks("QVD", ("V1", "V2"), ("accepted", "declined")),
        TwoLooks("QVD", ("V2", "V1"), ("declined", "accepted")),
        TwoLooks("VFR", ("V3", "V1"), ("accepted", "accepted")),
    ]

    by_pair = agreement_by([look.by_code() for look in looks], lambda look: look.reviewers)

    assert list(by_pair) == [("V1", "V2"), ("V1", "V3")]
    assert by_pair["V1", "V2"].decisions["accepted"]["declined"] == 2
    assert {group: one.n_visits for group, one in agreement_by(looks, _group).items()} == {
        "QVD": 2,
        "VFR": 1,
    }


def _group(look: TwoLooks) -> str:
    return look.group


@pytest.mark.django_db
def test_two_looks_are_those_of_one_round() -> None:
    visit, single = VisitFactory.create(), VisitFactory.create()
    ReviewFactory.create(visit=single)
    reviewed(visit, 1, "accepted", "declined", "declined")
    reviewed(visit, 2, "asked_back", "asked_back")

    found = two_looks()

    assert [look.decisions for look in found] == [
        ("accepted", "declined"),
        ("asked_back", "asked_back"),
    ]
    assert {look.group for look in found} == {visit.group.code}


def reviewed(visit: Visit, number: int, *decisions: str) -> None:
    """Store the opinions of a round; the last one decides."""
    for look, decision in enumerate(decisions, start=1):
        ReviewFactory.create(
            visit=visit,
            round=number,
            look=look,
            reviewer=ReviewerFactory.create(),
            decision=decision,
            reason_code="" if decision == "accepted" else "double",
            standing="deciding" if look == len(decisions) else "heard",
            decided_at=NOW,
        )
