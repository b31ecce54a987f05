"""A visit as plain facts, for checks that must not care where it came from.

Intake builds these from a payload before anything is stored; queries build the same from
stored rows when checks are run again.
"""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from surveys.protocol.definition import Protocol


@dataclass(frozen=True)
class CountFacts:
    """One counted line: ``number`` is filled only when ``state`` is ``counted``."""

    group: str
    stage: str
    taxon: str
    state: str
    number: int | None


@dataclass(frozen=True)
class PhaseFacts:
    """One step of a pit and what it brought."""

    kind: str
    state: str
    agent: str
    volume_ml: int | None
    wait_min: int | None
    counts: tuple[CountFacts, ...]


@dataclass(frozen=True)
class SoilFacts:
    """One soil observation; ``value`` is empty unless ``state`` is ``counted``."""

    name: str
    state: str
    value: str
    method: str


@dataclass(frozen=True)
class PitFacts:
    """One hole; lengths in cm, time in minutes. ``management`` is None unless listed."""

    number: int
    habitat: str
    management: tuple[str, ...] | None
    management_unknown: bool
    width_cm: Decimal
    length_cm: Decimal
    depth_cm: Decimal
    sorting_minutes: int | None
    sorted_to_end: bool | None
    total: int | None
    latitude: Decimal | None
    longitude: Decimal | None
    phases: tuple[PhaseFacts, ...]
    soil: tuple[SoilFacts, ...]

    @property
    def area_m2(self) -> Decimal:
        """Return the area dug [m2]."""
        return self.width_cm * self.length_cm / 10000

    def counts(self) -> list[CountFacts]:
        """Return the counts of every step."""
        return [count for phase in self.phases for count in phase.counts]

    def found(self) -> int:
        """Return the animals counted over all steps; 0 also when nothing was counted."""
        return sum(count.number or 0 for count in self.counts())

    def was_counted(self) -> bool:
        """Tell whether any line was counted."""
        return any(count.state == "counted" for count in self.counts())


@dataclass(frozen=True)
class VisitFacts:
    """One visit as sent; position in decimal degrees of WGS 84."""

    client_ref: str
    group_code: str
    participant_code: str
    site_code: str
    place_kind: str
    latitude: Decimal
    longitude: Decimal
    uncertainty_m: float | None
    placed_by_hand: bool
    visited_on: date
    people_digging: int | None
    note: str
    pits: tuple[PitFacts, ...]


@dataclass(frozen=True)
class Box:
    """A box in decimal degrees; never over the antimeridian."""

    west: Decimal
    south: Decimal
    east: Decimal
    north: Decimal


@dataclass(frozen=True)
class Surroundings:
    """What a check may know beside the visit itself."""

    protocol: Protocol
    received_on: date
    region: Box | None = None
    meeting_point: tuple[Decimal, Decimal] | None = None  # latitude, longitude
    roster_names: tuple[str, ...] = ()
    known_codes: tuple[str, ...] = ()  # of participants, households and sites; the group's name
    twins: tuple[str, ...] = ()  # references of own visits that may be the same one
    others_at_position: int = 0  # other people of the group who gave this very position
    earlier_totals: tuple[int, ...] = field(default=())  # animals per pit, same kit and season
