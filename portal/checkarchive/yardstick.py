"""What an archive is measured against, where that is the caller's choice."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

Profile = Literal["2023-09", "2026-05"]


@dataclass(frozen=True)
class Yardstick:
    """A generation of the standard, or either, and the last day that a record may tell of."""

    profile: Profile | None = None
    latest_on: date | None = None
