"""A check for visits that were perhaps sent twice."""

from surveys.checks.registry import check
from surveys.checks.response import Response, no_issue, potential_issue
from surveys.visits.facts import Surroundings, VisitFacts


@check(label="ISSUE_POSSIBLE_DUPLICATE", version="2025-07-01")
def possible_duplicate(_: VisitFacts, around: Surroundings) -> Response:
    """Tell whether another visit may be this one; which one it is stays untold."""
    if not around.twins:
        return no_issue("No other visit looks like this one.")
    return potential_issue(
        "possible-duplicate",
        "{number} other visit(s) have the same place, date and counts. If two people sent one "
        "visit, withdraw one of them; if these are two visits, say so and both are kept.",
        number=len(around.twins),
    )
