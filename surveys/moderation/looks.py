"""How many looks a round takes, and which opinion decides it; plain rules without a database.

A round begins when a visit waits, and ends with one decision:

    first look -- not drawn ------------------------------------------> decided by the first
               -- drawn --> second look (blind) -- the same opinion --> decided by the second
                                                -- another ----------> third look
    third look -------------------------------------------------------> decided by the third

A correction or a withdrawal ends a round undecided. A round after an appeal takes one look, by
somebody who had none in the round appealed against.
"""

import hashlib
import hmac
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

PURPOSE = b"second look "
_BYTES = 8


class Stage(StrEnum):
    """What a round waits for."""

    FIRST = "first look"
    SECOND = "second look"
    THIRD = "third look"
    DECIDED = "decided"


@dataclass(frozen=True)
class Opinion:
    """A decision, and the lines that it counts anew."""

    decision: str
    changes: frozenset[tuple[object, ...]] = frozenset()


def stage(opinions: Sequence[Opinion], *, is_drawn: bool) -> Stage:
    """Return what a round waits for after these opinions; the last one decides, if any does."""
    if not opinions:
        return Stage.FIRST
    first, *later = opinions
    if not is_drawn and not later:
        return Stage.DECIDED
    if not later:
        return Stage.SECOND
    return Stage.DECIDED if len(later) > 1 or later[0] == first else Stage.THIRD


def is_drawn(visit_key: str, share: float, secret: str) -> bool:
    """Tell whether a visit is drawn for a second look.

    The draw hangs on the visit alone, so asking again draws nothing again; without the secret
    nobody can choose references that escape it.

    Parameters
    ----------
    visit_key : str
        What names the visit for good.
    share : float
        Share of visits to draw, 0 to 1.
    secret : str
        The key of the hash.
    """
    digest = hmac.new(secret.encode(), PURPOSE + visit_key.encode(), hashlib.sha256).digest()
    return int.from_bytes(digest[:_BYTES], "big") < share * 256.0**_BYTES
