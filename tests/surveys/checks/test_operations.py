"""What the checks said is kept word for word beside the revision they looked at."""

from dataclasses import replace

import pytest

from surveys.checks.bdq.at_intake import checks_at_intake
from surveys.checks.models import CheckOutcome
from surveys.checks.operations import check_visit, keep_outcomes
from surveys.checks.registry import Finding, programme_checks, run_programme
from surveys.checks.response import (
    Response,
    amended,
    cannot_run,
    compliant,
    filled_in,
    measured,
    no_issue,
    not_amended,
    not_compliant,
    potential_issue,
)
from tests.factories.private import NOW, VisitFactory
from tests.surveys.checks.visits import around, pit, visit

pytestmark = pytest.mark.django_db

VALUES = {"latitude": "52.9", "longitude": "-0.7"}
KEPT: tuple[tuple[Response, str, str, dict[str, str]], ...] = (
    (compliant("Fine."), "RUN_HAS_RESULT", "COMPLIANT", {}),
    (not_compliant("c", "No.", "/pits/0"), "RUN_HAS_RESULT", "NOT_COMPLIANT", {}),
    (no_issue("Good."), "RUN_HAS_RESULT", "NOT_ISSUE", {}),
    (potential_issue("c", "Hm."), "RUN_HAS_RESULT", "POTENTIAL_ISSUE", {}),
    (measured(0, "None."), "RUN_HAS_RESULT", "0", {}),
    (cannot_run("Nothing there."), "INTERNAL_PREREQUISITES_NOT_MET", "", {}),
    (not_amended("Nothing to do."), "NOT_AMENDED", "", {}),
    (amended(VALUES, "Swapped?", "c", "/site"), "AMENDED", "", VALUES),
    (filled_in(VALUES, "Missing?"), "FILLED_IN", "", VALUES),
)


def finding(response: Response) -> Finding:
    return Finding("VALIDATION_COUNTS_LIKELY", "2025-07-01", response, "Validation", "programme")


@pytest.mark.parametrize(
    ("response", "status", "result", "proposal"), KEPT, ids=[case[0].comment for case in KEPT]
)
def test_answer_is_kept_with_its_result_or_its_proposal(
    response: Response, status: str, result: str, proposal: dict[str, str]
) -> None:
    keep_outcomes(visit=VisitFactory.create(), findings=[finding(response)], at=NOW)

    kept = CheckOutcome.objects.get()
    assert (kept.status, kept.result, kept.proposal) == (status, result, proposal)
    assert (kept.comment, kept.pointer) == (response.comment, response.pointer)
    assert (kept.label, kept.version) == ("VALIDATION_COUNTS_LIKELY", "2025-07-01")
    assert (kept.source, kept.run_at) == ("programme", NOW)


def test_arguments_are_kept_for_translation() -> None:
    response = not_compliant("total-differs", "{received}, not {expected}.", received=8, expected=9)

    keep_outcomes(visit=VisitFactory.create(), findings=[finding(response)], at=NOW)

    kept = CheckOutcome.objects.get()
    assert (kept.comment, kept.arguments) == ("8, not 9.", {"received": "8", "expected": "9"})


def test_outcomes_belong_to_the_revision_and_stay_in_order() -> None:
    checked = VisitFactory.create(revision=3)
    findings = check_visit(visit(pits=(pit(1, total=99), pit(2, total=98))), around())

    keep_outcomes(visit=checked, findings=findings, at=NOW)

    kept = CheckOutcome.objects.filter(visit=checked).order_by("id")
    assert {outcome.revision for outcome in kept} == {3}
    assert [outcome.label for outcome in kept] == [found.label for found in findings]
    differing = kept.filter(label="VALIDATION_COUNTS_SUMCONSISTENT")
    assert [outcome.pointer for outcome in differing] == ["/pits/0/total", "/pits/1/total"]


def test_later_run_is_added_and_overwrites_nothing() -> None:
    checked = VisitFactory.create()
    doubt, fine = potential_issue("c", "Hm."), no_issue("Fine.")

    keep_outcomes(visit=checked, findings=[finding(doubt)], at=NOW)
    keep_outcomes(visit=checked, findings=[finding(fine)], at=NOW)

    assert [outcome.result for outcome in checked.outcomes.order_by("id")] == [
        "POTENTIAL_ISSUE",
        "NOT_ISSUE",
    ]


def test_every_check_of_sent_visits_answers() -> None:
    findings = check_visit(visit(), around())

    run = (*programme_checks(), *checks_at_intake())
    assert {found.label for found in findings} == {known.label for known in run}
    own = run_programme(visit(), around())
    assert findings[: len(own)] == own


def test_checks_do_not_change_what_they_look_at() -> None:
    looked_at, surroundings = visit(note="Ring 01632 960 001"), around()

    check_visit(looked_at, surroundings)

    assert looked_at == replace(visit(), note="Ring 01632 960 001")
    assert surroundings == around()
