"""Give an opinion on the one visit as a client does: read its version, then send it."""

from typing import Any

from surveys.moderation.versions import tag_of, version_of
from surveys.visits.models import Visit
from tests.journeys.actors import Actor

DECISION = "/api/v1/review/visits/QVD/QVD-S01/decision"


def current_tag() -> str:
    """Return the ETag of the one visit."""
    visit = Visit.objects.get()
    return f'"{tag_of(visit, version_of(visit))}"'


def decide(caller: Actor, body: Any, tag: str = "") -> Any:
    """Send an opinion on the version of a tag, else on the newest."""
    return caller.post(DECISION, body, **{"If-Match": tag or current_tag()})
