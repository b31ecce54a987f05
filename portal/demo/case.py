"""One visit at review, moving on in time with every step."""

import json
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from random import Random

from portal.demo import cast
from portal.demo.events import CorrectionSent, LineChange, Reviewed
from portal.demo.payloads import Payload
from portal.demo.sending import sender_of
from portal.demo.streams import pick, stream
from portal.demo.visits import Outing

REVIEWER_SHARES = {"V1": 0.4, "V2": 0.4, "V3": 0.2}


@dataclass
class Case:
    """One visit at review; ``at`` moves on with every step."""

    outing: Outing
    at: datetime
    rng: Random
    payload: Payload

    @property
    def reviewer(self) -> str:
        """Return who decides: never one of the recorder's household."""
        rng = stream(self.outing.seed, self.outing.ref, "reviewer")
        drawn, stand_in = pick(rng, REVIEWER_SHARES), pick(rng, {"V2": 0.7, "V3": 0.3})
        home = cast.HOUSEHOLDS[cast.REVIEWERS["V1"]]
        return stand_in if drawn == "V1" and self.outing.recorder.household == home else drawn

    def later(self, least: int, most: int) -> datetime:
        """Move on by some days, to an office hour, and return the instant."""
        day = self.at.date() + timedelta(days=self.rng.randint(least, most))
        self.at = office_hour(day, self.rng)
        return self.at

    def decided(
        self,
        decision: str,
        *,
        reviewer: str = "",
        reason: str = "",
        message: str = "",
        changes: tuple[LineChange, ...] = (),
        is_refused: bool = False,
    ) -> Reviewed:
        """Return a decision at the present instant."""
        return Reviewed(
            at=self.at,
            group=self.outing.group,
            ref=self.outing.ref,
            reviewer=reviewer or self.reviewer,
            decision=decision,
            reason=reason,
            message=message,
            changes=changes,
            is_refused=is_refused,
        )

    def corrected(self, payload: Payload) -> CorrectionSent:
        """Return the correction sent at the present instant."""
        self.payload = payload
        signed = payload | {"sent_at": f"{self.at:%Y-%m-%dT%H:%M:%SZ}"}
        return CorrectionSent(
            at=self.at,
            group=self.outing.group,
            ref=self.outing.ref,
            sender=sender_of(self.outing.group, self.at),
            body=json.dumps(signed, ensure_ascii=False, indent=1).encode(),
        )


def office_hour(day: date, rng: Random) -> datetime:
    """Return an instant of a working day."""
    return datetime(day.year, day.month, day.day, 8, tzinfo=UTC) + timedelta(
        seconds=rng.randrange(8 * 3600)
    )
