"""A protocol version as data: what is dug, in which steps, and what is counted.

A new kit is a new file in ``library/``; no code changes.
"""

import tomllib
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from surveys.protocol.vocabulary import EcologicalGroup, LifeStage, PhaseKind

LIBRARY = Path(__file__).parent / "library"
Centimetres = Annotated[Decimal, Field(gt=0, le=200)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Taxon(_Part):
    """A scientific name and its rank."""

    name: str
    rank: str


class PitSize(_Part):
    """Inner size of one pit [cm] and how many make a visit."""

    width_cm: Centimetres
    length_cm: Centimetres
    depth_cm: Centimetres
    pits_per_visit: int = Field(ge=1, le=10)


class PhaseRule(_Part):
    """One step: its kind and, for a drench, the agent, volume [ml] and wait [min].

    A step that a kit leaves out on purpose is listed with ``performed = false``: its counts
    are then "not looked for", never zero.
    """

    kind: PhaseKind
    method: str
    performed: bool = True
    agent: str = ""
    volume_ml: int | None = None
    wait_min: int | None = None


class Category(_Part):
    """One line of the counting form: a group or taxon in one life stage."""

    group: EcologicalGroup
    stage: LifeStage
    taxon: str = ""

    @property
    def key(self) -> tuple[str, str, str]:
        """Return what identifies the category in a count."""
        return (self.group.value, self.stage.value, self.taxon)


class CheckParameters(_Part):
    """Limits that the checks read; published with the protocol."""

    query_above_per_m2: int = 1000
    refuse_above_per_m2: int = 3000
    depth_query_cm: tuple[int, int] = (15, 35)
    depth_refuse_cm: tuple[int, int] = (5, 60)
    sorting_query_min: tuple[int, int] = (5, 90)
    accuracy_query_m: int = 100
    late_after_days: int = 60
    season_months: tuple[int, ...] = (3, 4, 5, 9, 10, 11)
    pit_separation_m: tuple[int, int] = (2, 1000)


class Caution(_Part):
    """A safety note and whose rules come before ours."""

    topic: str
    text: str
    defer_to: str


class Protocol(_Part):
    """One version of a protocol."""

    key: str = Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")
    version: str = Field(pattern=r"^[0-9]{1,4}$")
    title: str
    summary: str
    valid_from: date
    language: str = "en"
    coarse_taxon: Taxon
    pit: PitSize
    phases: tuple[PhaseRule, ...] = Field(min_length=1)
    categories: tuple[Category, ...] = Field(min_length=1)
    stages_excluded: tuple[LifeStage, ...] = ()
    soil: tuple[str, ...] = ()
    required_on_pit: tuple[str, ...] = ()
    comparable_with: tuple[str, ...] = ()
    checks: CheckParameters = CheckParameters()
    cautions: tuple[Caution, ...] = Field(min_length=1)

    @property
    def name(self) -> str:
        """Return key and version as one word, for messages."""
        return f"{self.key}/{self.version}"

    def phase(self, kind: str) -> PhaseRule | None:
        """Return the rule of a step, or nothing if this kit has no such step."""
        return next((rule for rule in self.phases if rule.kind == kind), None)

    def category_keys(self) -> frozenset[tuple[str, str, str]]:
        """Return every (group, stage, taxon) that this kit counts."""
        return frozenset(category.key for category in self.categories)


def read_protocol(path: Path) -> Protocol:
    """Read one protocol file.

    Raises
    ------
    pydantic.ValidationError
        If the file breaks the shape above; the message names the field.
    """
    return Protocol.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))


@cache
def library() -> tuple[Protocol, ...]:
    """Return every protocol of the folder, ordered by key and version."""
    found = [read_protocol(path) for path in sorted(LIBRARY.glob("*.toml"))]
    return tuple(sorted(found, key=lambda protocol: (protocol.key, int(protocol.version))))
