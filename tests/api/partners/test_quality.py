"""The quality report of one own visit."""

import pytest
from django.utils import timezone

from surveys.checks.bdq.at_intake import checks_at_intake
from surveys.checks.operations import check_again
from surveys.checks.registry import programme_checks
from surveys.protocol.check_settings import set_checks
from surveys.visits.models import Visit
from tests.api.holders import VISITS, partner, sent_visit, visit_of

QUALITY = f"{VISITS}/QVD-S01/quality"

pytestmark = pytest.mark.django_db


def test_report_lists_every_check_with_version_and_parameters() -> None:
    _, caller = partner()
    sent_visit(caller, visit_of(1))

    report = caller.get(QUALITY).json()

    run = (*programme_checks(), *checks_at_intake())
    assert {one["label"] for one in report["checks"]} == {known.label for known in run}
    assert all(one["version"] and one["comment"] for one in report["checks"])
    assert {str(one["parameters"]) for one in report["checks"]} == {"{}"}
    assert sum(report["summary"].values()) == len(report["checks"])


def test_report_keeps_what_was_said_before_other_parameters() -> None:
    _, caller = partner()
    sent_visit(caller, visit_of(1))
    before = caller.get(QUALITY).json()
    visit, now = Visit.objects.get(), timezone.now()
    stricter = {"query_above_per_m2": 10}
    set_checks(protocol=visit.protocol, parameters=stricter, author="S1", reason="x", at=now)

    check_again(visit=visit, at=now)

    after = caller.get(QUALITY).json()
    told = [one | {"superseded_at": None} for one in after["checks"] if one["superseded_at"]]
    assert told == before["checks"]
    newer = [one for one in after["checks"] if one["superseded_at"] is None]
    assert {str(one["parameters"]) for one in newer} == {str(stricter)}
    assert after["summary"]["hold"] > before["summary"].get("hold", 0)
    assert sum(after["summary"].values()) == len(newer)


def test_report_takes_no_parameters() -> None:
    _, caller = partner()
    sent_visit(caller, visit_of(1))

    assert caller.get(f"{QUALITY}?by=x").status_code == 400
