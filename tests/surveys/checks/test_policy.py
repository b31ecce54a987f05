"""The policy knows every check, and only faults and proposals have consequences."""

from collections.abc import Mapping

import pytest

from surveys.checks.policy import BDQ, PRIVATE, PROGRAMME, decide, decide_on, labels_of
from surveys.checks.registry import Finding, checks_of, programme_checks
from surveys.checks.response import (
    Response,
    amended,
    cannot_run,
    compliant,
    measured,
    not_compliant,
    potential_issue,
)


def finding(label: str, response: Response) -> Finding:
    return Finding(label, "1", response, label.partition("_")[0].capitalize(), "programme")


def test_every_programme_check_has_one_line() -> None:
    lines = [label for labels in PROGRAMME.values() for label in labels]

    assert sorted(lines) == sorted(known.label for known in programme_checks())


def test_every_bdq_test_but_measures_has_one_line() -> None:
    lines = [label for labels in BDQ.values() for label in labels]
    tests = [known.label for known in checks_of("bdq") if known.kind != "Measure"]

    assert sorted(lines) == sorted(tests)


@pytest.mark.parametrize(
    ("label", "response", "action"),
    [
        ("VALIDATION_VISITDATE_WINDOW", not_compliant("c", "Late."), "block"),
        ("VALIDATION_COUNTS_LIKELY", not_compliant("c", "Many."), "hold"),
        ("VALIDATION_VISIT_PAIRED", not_compliant("c", "One."), "note"),
        ("ISSUE_POSSIBLE_DUPLICATE", potential_issue("c", "Twice."), "hold"),
        ("AMENDMENT_POSITION_SIGN", amended({"longitude": "-1"}, "Sign."), "propose"),
        ("VALIDATION_COUNTS_LIKELY", compliant("Fine."), "pass"),
        ("VALIDATION_COUNTS_LIKELY", cannot_run("Empty."), "pass"),
        ("ISSUE_DATAGENERALIZATIONS_NOTEMPTY", potential_issue("c", "Blurred."), "pass"),
        (
            "AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT",
            amended({"dwc:occurrenceStatus": "present"}, "Assumed."),
            "pass",
        ),
        ("MEASURE_EVENTDATE_DURATIONINSECONDS", measured(86400, "A day."), "pass"),
    ],
    ids=lambda value: value.comment if isinstance(value, Response) else str(value),
)
def test_decision_follows_the_table(label: str, response: Response, action: str) -> None:
    assert decide(finding(label, response)) == action
    stored = "" if isinstance(response.result, Mapping | None) else str(response.result)
    assert decide_on(label, response.status, stored) == action


def test_private_record_has_a_policy_of_its_own_for_tests_that_others_know() -> None:
    known = {label for labels in BDQ.values() for label in labels}
    found = finding("VALIDATION_COORDINATES_NOTZERO", not_compliant("c", "0, 0."))

    assert set(PRIVATE) <= known
    assert (decide(found), decide(found, "published")) == ("hold", "block")
    assert found.label in labels_of("hold")
    assert found.label not in labels_of("block")


def test_fault_of_an_unknown_label_is_an_error() -> None:
    with pytest.raises(KeyError):
        decide_on("VALIDATION_UNHEARD_OF", "RUN_HAS_RESULT", "NOT_COMPLIANT")
