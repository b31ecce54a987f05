"""Run the published data-quality tests on what a release is about to show.

Each occurrence is tested as a flat Darwin Core record. For each test the release keeps how
many records were compliant, were not, and gave the test nothing to work on, so that a share of
compliant ones cannot hide the ones that never ran.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import Any

from portal.archive.edition import edition_of
from portal.archive.event_rows import event_rows
from portal.archive.occurrence_rows import occurrence_rows
from portal.archive.profiles import OLDER
from portal.archive.reading import visit_trees
from portal.archive.values import written
from portal.records.models import Release
from surveys.checks.bdq.run import run_bdq
from surveys.checks.policy import decide
from surveys.checks.registry import Finding
from surveys.checks.response import FAULTS

# At cell level 0 coordinates are withheld by design; that is no fault of the record.
WITHHELD_BY_DESIGN = frozenset(
    {
        "VALIDATION_DECIMALLATITUDE_NOTEMPTY",
        "VALIDATION_DECIMALLONGITUDE_NOTEMPTY",
        "VALIDATION_GEODETICDATUM_NOTEMPTY",
    }
)
_OUTCOMES = ("compliant", "not_compliant", "not_run")


def quality_of(release: Release) -> tuple[dict[str, dict[str, int]], set[str]]:
    """Return the tally of each test over a release, and the tests that must stop it."""
    tallies: dict[str, Counter[str]] = defaultdict(Counter)
    stopping = set()
    for terms in _flat_records(release):
        for finding in run_bdq(terms, "published", release.issued_at.date()):
            if finding.kind in {"Validation", "Issue"}:
                tallies[finding.label][_outcome(finding)] += 1
            if decide(finding, "published") == "block" and not _is_accepted(finding, terms):
                stopping.add(finding.label)
    return {
        label: {outcome: tally[outcome] for outcome in _OUTCOMES}
        for label, tally in sorted(tallies.items())
    }, stopping


def _flat_records(release: Release) -> Iterator[dict[str, str]]:
    edition = edition_of(release, OLDER)  # the tests know the words of this one alone
    for visit in visit_trees(release.number):
        events = {row["eventID"]: row for row in event_rows(edition, visit)}
        for occurrence in occurrence_rows(edition, visit):
            yield _terms(events[occurrence["eventID"]] | occurrence)


def _terms(row: dict[str, Any]) -> dict[str, str]:
    prefixes = {"type": "dc", "language": "dc", "license": "dcterms", "modified": "dcterms"}
    return {f"{prefixes.get(name, 'dwc')}:{name}": written(value) for name, value in row.items()}


def _outcome(finding: Finding) -> str:
    result = finding.response.result
    if result is None:
        return "not_run"
    return "not_compliant" if result in FAULTS else "compliant"


def _is_accepted(finding: Finding, terms: dict[str, str]) -> bool:
    return finding.label in WITHHELD_BY_DESIGN and not terms.get("dwc:decimalLatitude")
