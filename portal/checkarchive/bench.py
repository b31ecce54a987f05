"""What an inspection works with."""

from dataclasses import dataclass, field

from portal.checkarchive.container import Container
from portal.checkarchive.ledger import Ledger
from portal.checkarchive.registry import Scope, rules_of
from portal.checkarchive.report import Report
from portal.checkarchive.subjects import Tally
from portal.checkarchive.yardstick import Yardstick


@dataclass
class Bench:
    """The open archive, what is noted of it, what it is measured against, and the report."""

    container: Container
    ledger: Ledger
    report: Report
    yardstick: Yardstick
    core_type: str = ""
    tally: Tally = field(default_factory=Tally)

    def ask(self, scope: Scope, *subject: object, file: str, row: int = 0) -> None:
        """Ask every rule that looks at one kind of thing; report what they say."""
        for rule in rules_of(scope):
            for problem in rule.function(*subject):
                self.report.add(rule, problem, file, row)
