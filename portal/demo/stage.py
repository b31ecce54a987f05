"""What the playing of a scenario remembers and counts."""

from collections import Counter
from dataclasses import dataclass, field
from uuid import UUID

from portal.demo.faults import PLANTED
from portal.demo.streams import demo_id
from surveys.intake.idempotency import Answer


@dataclass
class Stage:
    """What the playing needs to remember, and what it counts."""

    seed: int
    counts: Counter[str] = field(default_factory=Counter)
    caught: dict[str, set[str]] = field(default_factory=dict)
    refused: list[str] = field(default_factory=list)

    def mint(self, key: str) -> UUID:
        """Return the public id of a key, the same for the same seed."""
        return demo_id(self.seed, key)

    def missed(self) -> list[str]:
        """Return the planted mistakes that were sent and not caught by their check."""
        return [
            ref
            for ref, codes in self.caught.items()
            if ref in PLANTED and not codes.issuperset(PLANTED[ref].caught_by)
        ]

    def note(self, answer: Answer) -> None:
        """Keep what the intake said of each visit; the first answer shows what was caught."""
        codes: dict[str, set[str]] = {}
        for fault in answer.body["errors"]:
            codes.setdefault(fault["record"], set()).add(fault["code"])
        for item in answer.body["items"]:
            ref, outcome = item["client_ref"], item["outcome"]
            self.counts[f"visits {outcome}"] += 1
            is_first = ref not in self.caught
            self.caught.setdefault(ref, codes.get(ref, set()))
            planned = is_first and ref in PLANTED and PLANTED[ref].outcome == "blocked"
            if outcome == "rejected" and not planned:
                self.refused.append(ref)
