"""A protocol version as a release stores it."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any


class UnknownProtocolError(LookupError):
    """Rows name a protocol that their release does not hold."""


@dataclass(frozen=True)
class Step:
    """One step by which animals are taken from a pit."""

    kind: str
    method: str
    performed: bool


@dataclass(frozen=True)
class Line:
    """One line of the counting form."""

    stage: str
    taxon: str


@dataclass(frozen=True)
class StoredProtocol:
    """What the archive says of a protocol version."""

    name: str
    title: str
    summary: str
    coarse_taxon: str
    coarse_rank: str
    pits_per_visit: int
    steps: tuple[Step, ...]
    lines: tuple[Line, ...]
    stages_excluded: tuple[str, ...]

    @property
    def full_title(self) -> str:
        """Return the title with the version."""
        return f"{self.title}, version {self.name.rpartition('/')[2]}"

    @property
    def taxa(self) -> list[str]:
        """Return the names that the form counts; the coarse one first, if any line is coarse."""
        named = [line.taxon for line in self.lines if line.taxon]
        coarse = [self.coarse_taxon] if any(not line.taxon for line in self.lines) else []
        return list(dict.fromkeys(coarse + named))

    @property
    def stages(self) -> list[str]:
        """Return the life stages that the form counts."""
        return list(dict.fromkeys(line.stage for line in self.lines))

    @property
    def counts_every_animal(self) -> bool:
        """Tell whether any animal of a counted stage has a line, whatever its species."""
        return all(
            any(line.stage == stage and not line.taxon for line in self.lines)
            for stage in self.stages
        )

    def method(self, kind: str) -> str:
        """Return how a step is done, or its kind if the kit has no such step."""
        return next((step.method for step in self.steps if step.kind == kind), kind)


def read_protocols(stored: Iterable[dict[str, Any]]) -> dict[str, StoredProtocol]:
    """Return the protocols of a release by name, such as ``contrast-pit/2``."""
    protocols = (_protocol(entry) for entry in stored)
    return {protocol.name: protocol for protocol in protocols}


def _protocol(entry: dict[str, Any]) -> StoredProtocol:
    return StoredProtocol(
        name=f"{entry['key']}/{entry['version']}",
        title=entry["title"],
        summary=entry["summary"],
        coarse_taxon=entry["coarse_taxon"]["name"],
        coarse_rank=entry["coarse_taxon"]["rank"],
        pits_per_visit=entry["pit"]["pits_per_visit"],
        steps=tuple(
            Step(phase["kind"], phase["method"], phase["performed"]) for phase in entry["phases"]
        ),
        lines=tuple(Line(line["stage"], line["taxon"]) for line in entry["categories"]),
        stages_excluded=tuple(entry["stages_excluded"]),
    )
