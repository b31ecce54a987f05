"""Run the tests of the standard on one Darwin Core record, and count what came out."""

from collections.abc import Mapping, Sequence
from datetime import date

from surveys.checks.bdq.catalogue import CATALOGUE
from surveys.checks.bdq.values import Terms
from surveys.checks.registry import Check, Finding, Stage, checks_of
from surveys.checks.response import Response, Result, cannot_run, measured

SOIL_DEPTH_M = "2"  # no pit of any kit is deeper; the default of the standard is the deepest sea
SOIL_PARAMETERS = {
    label: {"bdqval:maximumValidDepthInMeters": SOIL_DEPTH_M}
    for label in ("VALIDATION_MINDEPTH_INRANGE", "VALIDATION_MAXDEPTH_INRANGE")
}


def applicable(stage: Stage) -> list[Check]:
    """Return the tests that apply to a private submission or to a published record."""
    return [known for known in checks_of("bdq") if known.stage in {stage, "both"}]


def run_bdq(
    terms: Terms,
    stage: Stage,
    now: date,
    parameters: Mapping[str, Mapping[str, str]] = SOIL_PARAMETERS,
) -> list[Finding]:
    """Return what every test of a stage says of a record, measures last.

    ``parameters`` holds, for each label, the parameters that differ from their defaults.
    """
    findings = [
        finding
        for known in applicable(stage)
        for finding in known.findings(terms, parameters.get(known.label, {}), now)
    ]
    return [*findings, *measures(findings, stage)]


def measures(findings: Sequence[Finding], stage: Stage) -> list[Finding]:
    """Count the answers of the tests that were run on one record."""
    validations = [one.response for one in findings if one.kind == "Validation"]
    ran = [response.result for response in validations]
    counted = {
        "MEASURE_VALIDATIONTESTS_COMPLIANT": ran.count(Result.COMPLIANT),
        "MEASURE_VALIDATIONTESTS_NOTCOMPLIANT": ran.count(Result.NOT_COMPLIANT),
        "MEASURE_VALIDATIONTESTS_PREREQUISITESNOTMET": ran.count(None),
    }
    answers = {label: _validations(number, validations) for label, number in counted.items()}
    proposed = sum(one.response.is_proposal for one in findings)
    text = f"{proposed} amendment(s) are proposed."
    answers["MEASURE_AMENDMENTS_PROPOSED"] = measured(proposed, text)
    return [
        _finding(label, response)
        for label, response in answers.items()
        if CATALOGUE[label].stage in {stage, "both"}
    ]


def _validations(number: int, validations: Sequence[Response]) -> Response:
    if not validations:
        return cannot_run("No validation was run on this record.")
    return measured(number, f"{number} of {len(validations)} validations ended so.")


def _finding(label: str, response: Response) -> Finding:
    entry = CATALOGUE[label]
    return Finding(label, entry.version, response, "Measure", "bdq", entry.test_id)
