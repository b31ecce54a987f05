"""Findings of one archive: the first of each rule, and how many more there were."""

import json
from collections import Counter
from collections.abc import Iterator

from portal.checkarchive.findings import Finding, Problem, Severity, cut
from portal.checkarchive.registry import Rule

CLEAN, FAULTY, UNREADABLE = 0, 1, 2


class Report:
    """What was found; at most `limit` findings of a rule are kept."""

    def __init__(self, limit: int) -> None:
        self.limit = limit
        self._kept: list[Finding] = []
        self._count: Counter[str] = Counter()
        self._severity: dict[str, Severity] = {}

    def add(self, rule: Rule, problem: Problem, file: str, row: int) -> None:
        """Take a problem in, at a file and row unless it names its own."""
        self._count[rule.rule_id] += 1
        self._severity[rule.rule_id] = rule.severity
        if self._count[rule.rule_id] <= self.limit:
            self._kept.append(
                Finding(
                    problem.file or file,
                    problem.row or row,
                    problem.column,
                    cut(problem.value),
                    rule.rule_id,
                    rule.severity,
                    rule.message,
                )
            )

    @property
    def findings(self) -> list[Finding]:
        """Return the findings that were kept, by file and row."""
        return sorted(self._kept)

    @property
    def not_shown(self) -> dict[str, int]:
        """Return how many findings of each rule were counted only."""
        return {
            name: count - self.limit
            for name, count in sorted(self._count.items())
            if count > self.limit
        }

    def count(self, severity: Severity) -> int:
        """Return how many findings have a severity, shown or not."""
        return sum(count for name, count in self._count.items() if self._severity[name] == severity)

    @property
    def exit_status(self) -> int:
        """Return 1 if there is an error, else 0."""
        return FAULTY if self.count("error") else CLEAN

    def as_json_lines(self) -> Iterator[str]:
        """Yield the findings, then for each rule how many were not shown, as JSON."""
        yield from (finding.as_json() for finding in self.findings)
        for name, count in self.not_shown.items():
            yield json.dumps({"rule": name, "not_shown": count})

    def as_lines(self) -> Iterator[str]:
        """Yield the findings, then what was not shown, then the sum."""
        yield from (finding.as_line() for finding in self.findings)
        for name, count in self.not_shown.items():
            yield f"... and {count} more of {name}"
        counts = {name: self.count(name) for name in ("error", "warning", "note")}
        yield ", ".join(
            f"{count} {name}{'' if count == 1 else 's'}" for name, count in counts.items()
        )
