"""Checks of the visit date: possible, in season, sent in time; a proposal for swapped parts."""

from datetime import date

from surveys.checks.registry import check
from surveys.checks.response import Response, amended, compliant, not_amended, not_compliant
from surveys.visits.facts import Surroundings, VisitFacts

SLOW_DAYS = 21  # project judgement: most records arrive within three weeks
FIRST_HALF = 12  # a day above this cannot be a month
HALF_YEAR = 6


@check(label="VALIDATION_VISITDATE_WINDOW", version="2025-07-01")
def date_possible(visit: VisitFacts, around: Surroundings) -> Response:
    """Tell whether the visit lies between the start of the kit and the receipt."""
    if visit.visited_on > around.received_on:
        return not_compliant(
            "date-in-future",
            "The visit date {received} is later than the day the record arrived ({arrived}). "
            "Check the year, and that day and month are not swapped.",
            "/visited_on",
            received=visit.visited_on.isoformat(),
            arrived=around.received_on.isoformat(),
        )
    if visit.visited_on < around.protocol.valid_from:
        return not_compliant(
            "date-before-kit",
            "The visit date {received} is earlier than the start of {kit} ({start}). Check the "
            "date, or send the visit under the kit that was used.",
            "/visited_on",
            received=visit.visited_on.isoformat(),
            kit=around.protocol.name,
            start=around.protocol.valid_from.isoformat(),
        )
    return compliant("The visit date is possible.")


@check(label="AMENDMENT_VISITDATE_TRANSPOSED", version="2025-07-01")
def parts_swapped(visit: VisitFacts, around: Surroundings) -> Response:
    """Offer day and month the other way round when only that is a likely date."""
    received = visit.visited_on
    if is_likely(received, visit, around):
        return not_amended("The visit date is likely as sent; nothing to propose.")
    if received.day > FIRST_HALF or received.day == received.month:
        return not_amended("Day and month cannot be swapped here; nothing to propose.")
    swapped = date(received.year, received.day, received.month)
    if not is_likely(swapped, visit, around):
        return not_amended("Swapping day and month would not help; nothing to propose.")
    return amended(
        {"visited_on": swapped.isoformat()},
        "The visit date is impossible, out of season or long before it was sent; with day and "
        f"month swapped it is {swapped.isoformat()}. Confirm and the date is changed.",
        "date-reading",
        "/visited_on",
    )


def is_likely(day: date, visit: VisitFacts, around: Surroundings) -> bool:
    """Tell whether a date is possible, in season and shortly before the receipt."""
    waited = (around.received_on - day).days
    return (
        0 <= waited <= SLOW_DAYS
        and day >= around.protocol.valid_from
        and day.month in season(visit, around)
    )


def season(visit: VisitFacts, around: Surroundings) -> frozenset[int]:
    """Return the months of the kit, moved by half a year south of the equator."""
    months = around.protocol.checks.season_months
    latitude = visit.latitude if around.region is None else around.region.south
    if latitude >= 0:
        return frozenset(months)
    return frozenset((month + HALF_YEAR - 1) % 12 + 1 for month in months)


@check(label="VALIDATION_SUBMISSION_TIMELY", version="2025-07-01")
def sent_in_time(visit: VisitFacts, around: Surroundings) -> Response:
    """Tell whether the record was sent while memory was fresh."""
    waited = (around.received_on - visit.visited_on).days
    limit = around.protocol.checks.late_after_days
    if waited <= limit:
        return compliant("The record was sent in time.")
    return not_compliant(
        "sent-late",
        "The record was sent {received} days after the visit; up to {expected} days are usual. It "
        "is kept; please check the date and the numbers against the paper form.",
        "/visited_on",
        received=waited,
        expected=limit,
    )


@check(label="VALIDATION_SEASON_PROTOCOL", version="2025-07-01")
def in_season(visit: VisitFacts, around: Surroundings) -> Response:
    """Tell whether the visit lies in the season of the kit."""
    months = season(visit, around)
    if visit.visited_on.month in months:
        return compliant("The visit lies in the season of the kit.")
    return not_compliant(
        "out-of-season",
        "Month {month} is outside the season of {kit} (months {months}). The record is kept and "
        "marked: in dry heat and in frost animals go deep. Check that day and month are not "
        "swapped.",
        "/visited_on",
        month=visit.visited_on.month,
        kit=around.protocol.name,
        months=", ".join(map(str, sorted(months))),
    )
