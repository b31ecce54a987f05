"""The list of rules."""

import re
from collections.abc import Iterator

import pytest

from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import all_rules, rule


def test_every_rule_says_how_to_mend_it_and_where_it_comes_from() -> None:
    for known in all_rules():
        assert re.fullmatch(r"[A-Z].{10,}\.", known.message), known.rule_id
        assert known.reference, known.rule_id
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", known.rule_id)


def test_two_rules_cannot_have_one_id() -> None:
    with pytest.raises(ValueError, match="two rules are called id-empty"):

        @rule("id-empty", "row", "common practice, no source")
        def again(_row: object) -> Iterator[Problem]:
            """Never be registered."""
            yield Problem()
