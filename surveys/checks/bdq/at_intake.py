"""Run the published tests of dates, coordinates and depths on a visit as it was sent.

What was sent keeps its exact place, so these answers belong to the private record and are never
copied to a published one, which is tested again.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from surveys.checks.bdq.run import SOIL_PARAMETERS
from surveys.checks.bdq.values import Terms, plain
from surveys.checks.registry import Check, Finding, checks_of
from surveys.visits.facts import VisitFacts

CM_PER_M = 100
POINTERS = {
    "VALIDATION_COORDINATES_NOTZERO": "/site/latitude",
    "VALIDATION_COORDINATEUNCERTAINTY_INRANGE": "/site/uncertainty_m",
    "VALIDATION_DAY_INRANGE": "/visited_on",
    "VALIDATION_DAY_STANDARD": "/visited_on",
    "VALIDATION_DECIMALLATITUDE_INRANGE": "/site/latitude",
    "VALIDATION_DECIMALLATITUDE_NOTEMPTY": "/site/latitude",
    "VALIDATION_DECIMALLONGITUDE_INRANGE": "/site/longitude",
    "VALIDATION_DECIMALLONGITUDE_NOTEMPTY": "/site/longitude",
    "VALIDATION_EVENTDATE_INRANGE": "/visited_on",
    "VALIDATION_EVENTDATE_NOTEMPTY": "/visited_on",
    "VALIDATION_EVENTDATE_STANDARD": "/visited_on",
    "VALIDATION_EVENT_CONSISTENT": "/visited_on",
    "VALIDATION_MAXDEPTH_INRANGE": "/pits",
    "VALIDATION_MONTH_STANDARD": "/visited_on",
}


def checks_at_intake() -> list[Check]:
    """Return the published tests that are run on a visit when it is sent."""
    return [known for known in checks_of("bdq") if known.label in POINTERS]


def run_on_visit(visit: VisitFacts, now: date) -> Iterator[Finding]:
    """Yield what the published tests say of a visit, each pointing to the field it read."""
    terms = terms_of(visit)
    for known in checks_at_intake():
        for finding in known.findings(terms, SOIL_PARAMETERS.get(known.label, {}), now):
            response = replace(finding.response, pointer=POINTERS[known.label])
            yield replace(finding, response=response)


def terms_of(visit: VisitFacts) -> Terms:
    """Return a visit as flat Darwin Core terms; the depth is that of the deepest pit."""
    day = visit.visited_on
    terms = {
        "dwc:eventDate": day.isoformat(),
        "dwc:year": str(day.year),
        "dwc:month": str(day.month),
        "dwc:day": str(day.day),
        "dwc:decimalLatitude": plain(visit.latitude),
        "dwc:decimalLongitude": plain(visit.longitude),
    }
    if visit.uncertainty_m is not None:
        terms["dwc:coordinateUncertaintyInMeters"] = str(visit.uncertainty_m)
    if visit.pits:
        deepest_cm = max(pit.depth_cm for pit in visit.pits)
        terms["dwc:maximumDepthInMeters"] = plain(deepest_cm / CM_PER_M)
    return terms
