"""The one ordered list of checks, and how the programme's own checks are run.

A check is a small pure function with a label and a version. What follows from its answer is
written in ``policy.py``, so that a policy can change without running anything again.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import Literal, TypeVar

from surveys.checks.response import Response
from surveys.visits.facts import Surroundings, VisitFacts

Stage = Literal["private", "published", "both"]
Source = Literal["programme", "bdq"]
Answer = Response | Sequence[Response]
Function = TypeVar("Function", bound=Callable[..., Answer])

FAMILIES: dict[Source, tuple[str, ...]] = {
    # the order in which findings are listed
    "programme": tuple(
        f"surveys.checks.{name}"
        for name in (
            "text",
            "counts",
            "make_up",
            "pits",
            "effort",
            "position",
            "timing",
            "soil",
            "duplicates",
        )
    ),
    "bdq": tuple(
        f"surveys.checks.bdq.{name}"
        for name in (
            "completeness",
            "ranges",
            "calendar_parts",
            "event_dates",
            "standards",
            "names",
            "amend_dates",
            "amend_words",
            "amend_places",
        )
    ),
}


@dataclass(frozen=True)
class Check:
    """A registered check; ``test_id`` is filled for tests of the published standard."""

    label: str
    version: str
    stage: Stage
    source: Source
    test_id: str
    function: Callable[..., Answer]

    @property
    def kind(self) -> str:
        """Return Validation, Issue, Amendment or Measure: the first word of the label."""
        return self.label.partition("_")[0].capitalize()

    def findings(self, *subject: object) -> list["Finding"]:
        """Run the check; an error inside it is a bug and is not caught.

        Raises
        ------
        ValueError
            If the check answers nothing at all.
        """
        answer = self.function(*subject)
        responses = [answer] if isinstance(answer, Response) else list(answer)
        if not responses:
            message = f"{self.label} gave no answer"
            raise ValueError(message)
        return [
            Finding(self.label, self.version, response, self.kind, self.source, self.test_id)
            for response in responses
        ]


@dataclass(frozen=True)
class Finding:
    """One answer together with who gave it."""

    label: str
    version: str
    response: Response
    kind: str
    source: Source
    test_id: str = ""


_checks: dict[str, Check] = {}


def check(
    *,
    label: str,
    version: str,
    stage: Stage = "private",
    source: Source = "programme",
    test_id: str = "",
) -> Callable[[Function], Function]:
    """Register the function below under a label.

    Raises
    ------
    ValueError
        If the label is already taken.
    """

    def register(function: Function) -> Function:
        if label in _checks:
            message = f"two checks are called {label}"
            raise ValueError(message)
        _checks[label] = Check(label, version, stage, source, test_id, function)
        return function

    return register


def checks_of(source: Source) -> list[Check]:
    """Return the checks of one source, family by family, in the order of their code."""
    for family in FAMILIES[source]:
        import_module(family)
    found = [known for known in _checks.values() if known.source == source]
    return sorted(found, key=lambda known: FAMILIES[source].index(known.function.__module__))


def programme_checks() -> list[Check]:
    """Return the programme's own checks."""
    return checks_of("programme")


def run_programme(visit: VisitFacts, around: Surroundings) -> list[Finding]:
    """Run every programme check on one visit."""
    return [finding for known in programme_checks() for finding in known.findings(visit, around)]
