"""Why an act of a reviewer is refused."""

from datetime import datetime

from surveys.moderation.versions import happened_since, tag_of, version_of
from surveys.visits.models import Visit


class NotAllowed(Exception):  # noqa: N818 -- reads as what happened
    """The reviewer may not decide on the visit."""


class NotDecidable(Exception):  # noqa: N818 -- reads as what happened
    """The decision does not fit the visit's state, reason or lines; the message says how."""


class StaleDecision(Exception):  # noqa: N818 -- reads as what happened
    """The visit was corrected or decided since the reviewer read it, at version ``seen``."""

    def __init__(self, visit: Visit, seen: int) -> None:
        super().__init__(f"The visit is {visit.state} at revision {visit.revision}.")
        self.current = visit.revision
        self.state = visit.state
        self.tag = tag_of(visit, version_of(visit))
        self.happened = happened_since(visit, seen)


class ClaimedByOther(Exception):  # noqa: N818 -- reads as what happened
    """Another reviewer is at work on the visit until ``until``."""

    def __init__(self, until: datetime) -> None:
        super().__init__(f"Another reviewer has claimed this visit until {until:%H:%M} UTC.")
        self.until = until
