"""The command that reviews many visits at once."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from surveys.visits.models import Visit
from tests.factories.private import (
    CheckOutcomeFactory,
    ReviewClaimFactory,
    ReviewerFactory,
    VisitFactory,
)

COLUMNS = "group,client_ref,revision,decision,reason_code,message"

pytestmark = pytest.mark.django_db


@pytest.fixture
def visits() -> list[Visit]:
    """Return a visit without and one with a doubt; a reviewer R-1 is there."""
    ReviewerFactory.create(code="R-1")
    clean, doubtful = VisitFactory.create_batch(2)
    CheckOutcomeFactory.create(visit=doubtful, result="NOT_COMPLIANT")
    return [clean, doubtful]


def states() -> list[str]:
    return list(Visit.objects.order_by("id").values_list("state", flat=True))


def line(visit: Visit, decision: str, reason: str = "", revision: int = 1) -> str:
    return f"{visit.group.code},{visit.client_ref},{revision},{decision},{reason},"


def decide(folder: Path, *lines: str) -> str:
    path, said = folder / "decisions.csv", StringIO()
    path.write_text("\n".join([COLUMNS, *lines]), encoding="utf-8")
    call_command("reviewbatch", "R-1", list=path, stdout=said)
    return said.getvalue()


def test_clean_visits_are_accepted_and_doubtful_ones_wait(visits: list[Visit]) -> None:
    said = StringIO()

    call_command("reviewbatch", "R-1", clean=True, stdout=said)

    assert states() == ["accepted", "in_review"]
    assert said.getvalue() == "Decided: 1. Still waiting: 1.\n"
    assert [review.decision for review in visits[0].reviews.all()] == ["accepted"]


def test_list_is_decided_line_by_line(visits: list[Visit], tmp_path: Path) -> None:
    clean, doubtful = visits

    said = decide(tmp_path, line(clean, "accepted"), line(doubtful, "asked_back", "check-date"))

    assert states() == ["accepted", "asked_back"]
    assert said == "Decided: 2. Still waiting: 0.\n"


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"decision": "declined"}, "takes one of these reasons"),
        ({"decision": "accepted", "revision": 2}, "in_review at revision 1"),
        ({"decision": "maybe"}, "no such visit, decision or revision"),
    ],
)
def test_list_with_a_wrong_line_decides_nothing(
    visits: list[Visit], tmp_path: Path, wrong: dict[str, str], told: str
) -> None:
    lines = [line(visits[0], "accepted"), line(visits[1], **wrong)]  # type: ignore[arg-type]

    with pytest.raises(CommandError, match=f"Line 3: .*{told}"):
        decide(tmp_path, *lines)

    assert states() == ["in_review", "in_review"]


def test_visit_that_another_has_claimed_is_left_to_them(
    visits: list[Visit], tmp_path: Path
) -> None:
    ReviewClaimFactory.create(visit=visits[0], expires_at="2999-01-01T00:00:00Z")

    with pytest.raises(CommandError, match=r"Line 2: Another reviewer has claimed"):
        decide(tmp_path, line(visits[0], "accepted"))

    assert states() == ["in_review", "in_review"]
