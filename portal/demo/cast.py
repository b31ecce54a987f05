"""What the story fixes instead of drawing: who, when, and how people answer about consent."""

from dataclasses import dataclass
from datetime import UTC, date, datetime

STATEMENT = "1"


@dataclass(frozen=True)
class Answer:
    """An answer about publication by a participant, or by a guardian for them."""

    decision: str
    at: datetime | None = None
    given_by: str = "self"
    evidence: str = "paper_form"


def _day(year: int, month: int, day: int) -> datetime:
    return datetime(year, month, day, 18, 30, tzinfo=UTC)


FIRST_ANSWERS: dict[str, Answer] = {
    # Everybody else gives consent on joining; pupils by a guardian.
    "QVD-03": Answer("refused"),
    "QVD-14": Answer("refused"),
    "OPL-04": Answer("refused"),
    "VFR-09": Answer("refused"),
    "BSC-P13": Answer("pending", given_by="guardian"),
    "OPL-17": Answer("pending"),
    "BSC-P14": Answer("refused", given_by="guardian"),
    "QVD-07": Answer("given", given_by="guardian"),
    "QVD-11": Answer("given", given_by="guardian"),  # and comes of age on 1 April 2025
}
ASSENT = Answer("given", evidence="spoken")  # of a child, told to a guardian or teacher
LATER_ANSWERS: dict[str, Answer] = {
    "OPL-09": Answer("withdrawn", _day(2024, 12, 2)),
    "QVD-11": Answer("given", _day(2025, 4, 20), evidence="online_page"),
}
WITHDRAWALS: dict[str, tuple[datetime, str]] = {
    "VFR-05": (_day(2025, 3, 10), "consent_withdrawn"),
    "QVD-16": (_day(2025, 4, 22), "erasure"),
}
EXACT_PLACES: dict[str, frozenset[str]] = {
    # Who signed that their sites may be shown where they are, but for these.
    "VFR-02": frozenset({"VFR-02-F3"}),
}
EXACT_FROM = date(2024, 10, 1)
EXACT_UNTIL = date(2026, 10, 1)
BORN_ON: dict[str, date] = {"QVD-07": date(2008, 10, 12), "QVD-11": date(2007, 4, 1)}
NAMES: dict[str, str] = {"BSC-P05": "Ottalie Wexmarrow"}

HOUSEHOLDS: dict[str, str] = {
    # A verifier lives with a recorder; two farms are worked by two people each.
    "QVD-04": "QVD-H04",
    "QVD-05": "QVD-H04",
    "VFR-10": "VFR-farm-03",
    "VFR-11": "VFR-farm-06",
}
ACTIVE_FROM: dict[tuple[str, str], date] = {("OPL", "QVD-12"): date(2025, 3, 15)}
ACTIVE_UNTIL: dict[tuple[str, str], date] = {
    ("QVD", "QVD-12"): date(2025, 3, 14),
    ("QVD", "QVD-16"): date(2025, 3, 20),
    ("VFR", "VFR-05"): date(2025, 3, 9),
    ("VFR", "VFR-07"): date(2025, 2, 1),
}
MOVED: dict[str, str] = {"QVD-12": "OPL"}

RECORDERS: dict[str, str] = {
    # Visits that a planted event or fault needs to be of a certain person.
    "QVD-A02": "QVD-01",
    "QVD-A04": "QVD-16",
    "QVD-A05": "QVD-05",
    "QVD-A06": "QVD-11",
    "OPL-A06": "OPL-09",
    "VFR-A01": "VFR-02",
    "VFR-A02": "VFR-01",
    "VFR-A03": "VFR-05",
    "VFR-A05": "VFR-08",
    "OPL-S14": "OPL-02",
    "OPL-S15": "OPL-07",
    "OPL-S16": "OPL-11",
    "OPL-S17": "OPL-14",
}
VISITED_ON: dict[str, date] = {
    "QVD-S09": date(2025, 4, 5),  # a day that is also a month
    "OPL-S20": date(2025, 3, 15),  # early enough to be sent 90 days late
}
PROMPT = frozenset({"QVD-A02", "QVD-A04", "QVD-S09", "VFR-A03"})  # sent the next day, soon reviewed

REVIEWERS: dict[str, str] = {"V1": "QVD-04", "V2": "", "V3": ""}  # code: also a recorder
STEWARD = "S1"
