"""What differs between two sets of rules, and whether it lets more be seen."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from portal.blurring.rules import DAY, GeneralisationRules

_LOOSER_WHEN_HIGHER = {"place_floors", "consent_floors", "taxon_floors"}


@dataclass(frozen=True)
class RuleChange:
    """One rule before and after; the name of a table's entry reads ``place_floors.farm``."""

    rule: str
    before: Any
    after: Any
    lets_more_be_seen: bool


def rule_changes(before: GeneralisationRules, after: GeneralisationRules) -> list[RuleChange]:
    """Return what changes, in the order of the rules.

    Smaller groups, finer floors, a smaller assumed uncertainty and days in place of months let
    more be seen.
    """
    old, new = dict(_flat(before)), dict(_flat(after))
    return [
        RuleChange(
            rule, old.get(rule), new.get(rule), _lets_more(rule, old.get(rule), new.get(rule))
        )
        for rule in old | new
        if old.get(rule) != new.get(rule)
    ]


def _flat(rules: GeneralisationRules) -> Iterator[tuple[str, Any]]:
    for name, value in rules.as_dict().items():
        if name == "grid":
            continue
        if isinstance(value, Mapping):
            yield from ((f"{name}.{entry}", inner) for entry, inner in value.items())
        else:
            yield name, value


def _lets_more(rule: str, old: Any, new: Any) -> bool:
    table = rule.partition(".")[0]
    if table == "date_precisions":
        return bool(new == DAY)
    if old is None or new is None:  # an entry that one of them lacks places nobody
        return False
    return bool(new > old if table in _LOOSER_WHEN_HIGHER else new < old)
