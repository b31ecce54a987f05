"""The one list of rules.

A rule is a function that yields a `Problem` for each thing that it objects to. The first line of
its docstring is its message: it says how to mend it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Literal

from portal.checkarchive.findings import Problem, Severity

Scope = Literal[
    "zip",  # Contents: what lies in the zip
    "document",  # Document: one of the two XML files
    "descriptor",  # Descriptor: what meta.xml declares
    "line",  # Line: a line of a data file, as bytes
    "header",  # Header: the first record and the file's description
    "record",  # Record: the fields of a line, before they have a meaning
    "row",  # Row: the fields by their terms
    "file",  # FileEnd: what is known when a data file ends
    "metadata",  # Node: the root of eml.xml
    "whole",  # Whole: what only shows when every file was read
]
Function = Callable[..., Iterator[Problem]]

FAMILIES = (
    # the order in which rules are listed
    "layout",
    "documents",
    "descriptor",
    "terms",
    "text",
    "columns",
    "ids",
    "references",
    "words",
    "numbers",
    "absence",
    "dates",
    "places",
    "footprints",
    "rights",
    "names",
    "scope",
    "privacy",
    "metadata",
)


@dataclass(frozen=True)
class Rule:
    """A registered rule; `needs` are the terms of which a file must have one to be asked."""

    rule_id: str
    scope: Scope
    severity: Severity
    reference: str
    needs: frozenset[str]
    function: Function

    @property
    def message(self) -> str:
        """Return how to mend it."""
        return (self.function.__doc__ or self.rule_id).splitlines()[0]


_rules: dict[str, Rule] = {}


def rule(
    rule_id: str,
    scope: Scope,
    reference: str,
    *,
    severity: Severity = "error",
    needs: tuple[str, ...] = (),
) -> Callable[[Function], Function]:
    """Register the function below.

    Raises
    ------
    ValueError
        If the id is already taken.
    """

    def register(function: Function) -> Function:
        if rule_id in _rules:
            message = f"two rules are called {rule_id}"
            raise ValueError(message)
        _rules[rule_id] = Rule(rule_id, scope, severity, reference, frozenset(needs), function)
        return function

    return register


@cache
def all_rules() -> tuple[Rule, ...]:
    """Return every rule, family by family."""
    for family in FAMILIES:
        import_module(f"portal.checkarchive.rules.{family}")
    return tuple(_rules.values())


@cache
def rules_of(scope: Scope) -> tuple[Rule, ...]:
    """Return the rules that look at one kind of thing."""
    return tuple(known for known in all_rules() if known.scope == scope)
