"""The list of checks is ordered and complete; a broken check is not hidden."""

import pytest

from surveys.checks import registry
from surveys.checks.registry import Check, check, programme_checks, run_programme
from surveys.checks.response import Response, compliant
from tests.surveys.checks.visits import around, visit


def test_programme_checks_come_family_by_family() -> None:
    families = [known.function.__module__ for known in programme_checks()]

    assert sorted(families, key=registry.FAMILIES["programme"].index) == families
    assert set(families) == set(registry.FAMILIES["programme"])


def test_every_bdq_family_has_tests() -> None:
    families = {known.function.__module__ for known in registry.checks_of("bdq")}

    assert families == set(registry.FAMILIES["bdq"])


def test_labels_start_with_a_kind_of_the_standard() -> None:
    kinds = {known.kind for known in (*programme_checks(), *registry.checks_of("bdq"))}

    assert kinds == {"Validation", "Issue", "Amendment", "Measure"}


def test_second_check_of_one_label_is_refused() -> None:
    with pytest.raises(ValueError, match="two checks are called VALIDATION_COUNTS_LIKELY"):
        check(label="VALIDATION_COUNTS_LIKELY", version="1")(lambda: compliant("Fine."))


def test_error_inside_a_check_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    broken = programme_checks()[0]
    failing = Check(broken.label, "1", "private", "programme", "", fail)
    failing.function.__module__ = broken.function.__module__
    monkeypatch.setitem(registry._checks, broken.label, failing)

    with pytest.raises(ZeroDivisionError):
        run_programme(visit(), around())


def fail(*_: object) -> Response:
    raise ZeroDivisionError


def test_check_without_an_answer_is_a_bug() -> None:
    silent = Check("VALIDATION_NOTHING", "1", "private", "programme", "", list)

    with pytest.raises(ValueError, match="gave no answer"):
        silent.findings()


def test_run_gives_at_least_one_finding_for_every_check() -> None:
    findings = run_programme(visit(), around())

    assert [known.label for known in programme_checks()] == list(
        dict.fromkeys(finding.label for finding in findings)
    )
