"""Who stands beside a record: nobody, unless they agreed and it gives no child or school away."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from portal.publication.eligibility import people_to_name
from surveys.protocol.vocabulary import PlaceKind
from surveys.visits.models import Visit

ORCID = "https://orcid.org/"


@dataclass(frozen=True)
class Recorder:
    """A name as its bearer wants it shown, and the address of their ORCID iD, if given."""

    name: str
    address: str | None


def recorders_to_name(at: datetime) -> dict[int, Recorder]:
    """Return by participant who is named in a release of an instant."""
    return {
        person.pk: Recorder(person.shown_name, f"{ORCID}{person.orcid}" if person.orcid else None)
        for person in people_to_name(at)
    }


def recorder_of(visit: Visit, named: Mapping[int, Recorder]) -> Recorder | None:
    """Return who is named for a visit; on the ground of a school nobody: it tells which."""
    if visit.site.place_kind == PlaceKind.SCHOOL_GROUND:
        return None
    return named.get(visit.participant_id)
