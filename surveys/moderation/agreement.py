"""How far two reviewers agree who looked at one visit without knowing of each other."""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import F

from surveys.moderation.models import Decision, Review
from surveys.science.agreement import (
    MIN_VERIFIED,
    Kappa,
    Matrix,
    Proportion,
    cohen_kappa,
    confusion_matrix,
    proportion,
)

FIRST, SECOND = 1, 2
Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True)
class TwoLooks:
    """What two reviewers decided on one visit, each alone; first look first."""

    group: str
    reviewers: tuple[str, str]
    decisions: tuple[str, str]

    def by_code(self) -> "TwoLooks":
        """Return the same with the reviewers in the order of their codes."""
        (one, other), (its, others) = self.reviewers, self.decisions
        if one <= other:
            return self
        return TwoLooks(self.group, (other, one), (others, its))


@dataclass(frozen=True)
class Agreement:
    """How often two looks said the same, and kappa; none of either on too few visits."""

    n_visits: int
    agreed: Proportion | None
    kappa: Kappa
    decisions: Matrix


def two_looks() -> list[TwoLooks]:
    """Return every visit and round that had two blind looks."""
    rows = (
        Review.objects.filter(look=SECOND)
        .filter(visit__reviews__round=F("round"), visit__reviews__look=FIRST)
        .order_by("id")
        .values_list(
            "visit__group__code",
            "visit__reviews__reviewer__code",
            "reviewer__code",
            "visit__reviews__decision",
            "decision",
        )
    )
    return [
        TwoLooks(group, (first, second), (of_first, of_second))
        for group, first, second, of_first, of_second in rows
    ]


def agreement(looks: Iterable[TwoLooks]) -> Agreement:
    """Return the agreement over visits that were looked at twice."""
    pairs = [look.decisions for look in looks]
    matrix = confusion_matrix(pairs, Decision.values)
    n_agreed = sum(first == second for first, second in pairs)
    enough = len(pairs) >= MIN_VERIFIED
    return Agreement(
        n_visits=len(pairs),
        agreed=proportion(n_agreed, len(pairs)) if enough else None,
        kappa=cohen_kappa(matrix),
        decisions=matrix,
    )


def agreement_by(looks: Iterable[TwoLooks], key: Callable[[TwoLooks], Key]) -> dict[Key, Agreement]:
    """Return the agreement for each value of a key, in the order of the keys."""
    parts: dict[Key, list[TwoLooks]] = defaultdict(list)
    for look in looks:
        parts[key(look)].append(look)
    return {name: agreement(parts[name]) for name in sorted(parts)}  # type: ignore[type-var]
