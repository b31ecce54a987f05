"""What happens in the scenario, each with its instant on the demo's own clock."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from portal.demo.cast import Answer
from portal.demo.people import Person
from portal.demo.region import GroupPlan


@dataclass(frozen=True)
class GroupRegistered:
    """A group becomes a partner."""

    at: datetime
    plan: GroupPlan


@dataclass(frozen=True)
class PersonRegistered:
    """A group registers a participant."""

    at: datetime
    person: Person


@dataclass(frozen=True)
class ConsentAnswered:
    """A participant, or a guardian, says whether records may be published."""

    at: datetime
    group: str
    code: str
    answer: Answer


@dataclass(frozen=True)
class DayBegun:
    """The daily run hides what consent no longer covers."""

    at: datetime


@dataclass(frozen=True)
class ExactPlacesEntered:
    """A group enters the signed permission for a participant's sites that it knows by now."""

    at: datetime
    group: str
    code: str
    but: frozenset[str]


@dataclass(frozen=True)
class ReviewerAppointed:
    """Somebody may review; ``participant`` is their code as a recorder of QVD, or empty."""

    at: datetime
    code: str
    participant: str
    is_steward: bool


@dataclass(frozen=True)
class BatchSent:
    """A group sends a batch; ``expected`` is what the intake must answer."""

    at: datetime
    group: str
    sender: str
    key: str
    refs: tuple[str, ...]
    body: bytes
    expected: Literal["taken", "replayed", "key reused"] = "taken"


@dataclass(frozen=True)
class CorrectionSent:
    """A group replaces a visit by a corrected one."""

    at: datetime
    group: str
    ref: str
    sender: str
    body: bytes


@dataclass(frozen=True)
class LineChange:
    """A reviewer's new number for one line of a visit."""

    pit: int
    phase: str
    group: str
    stage: str
    taxon: str
    number: int


@dataclass(frozen=True)
class Reviewed:
    """A reviewer decides, or tries to where it is not allowed (``is_refused``)."""

    at: datetime
    group: str
    ref: str
    reviewer: str
    decision: str
    reason: str = ""
    message: str = ""
    changes: tuple[LineChange, ...] = ()
    is_refused: bool = False


@dataclass(frozen=True)
class Appealed:
    """A sender asks for another reviewer."""

    at: datetime
    group: str
    ref: str
    text: str


@dataclass(frozen=True)
class NoteApproved:
    """A reviewer lets a note be published."""

    at: datetime
    group: str
    ref: str
    reviewer: str


@dataclass(frozen=True)
class ParticipantWithdrew:
    """A participant takes all records out of publication."""

    at: datetime
    group: str
    code: str
    reason_class: str


@dataclass(frozen=True)
class ReleaseMade:
    """The steward makes a release."""

    at: datetime


Event = (
    GroupRegistered
    | PersonRegistered
    | ConsentAnswered
    | DayBegun
    | ExactPlacesEntered
    | ReviewerAppointed
    | BatchSent
    | CorrectionSent
    | Reviewed
    | Appealed
    | NoteApproved
    | ParticipantWithdrew
    | ReleaseMade
)
