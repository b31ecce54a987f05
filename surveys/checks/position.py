"""Checks of the place: in the region, no default, as exact as it claims; proposals for slips.

No comment tells a coordinate: the proposals hold one, and are read by the sender only.
"""

from decimal import Decimal

from surveys.checks.distance import METRES_PER_DEGREE, centre, is_within, metres_between
from surveys.checks.registry import check
from surveys.checks.response import (
    Response,
    amended,
    cannot_run,
    compliant,
    not_amended,
    not_compliant,
)
from surveys.visits.facts import Box, Surroundings, VisitFacts

Point = tuple[Decimal, Decimal]

REGION_BUFFER_M = 5000  # own-tests of the programme: bufferM
SAME_POINT_M = 1.0
SHARED_BY_OTHERS = 2  # with the sender three people, own-tests of the programme
ROUNDING_SLACK = 2  # project judgement: a rounded axis may be off by twice the stated accuracy


def position(visit: VisitFacts) -> Point:
    """Return latitude and longitude of a visit."""
    return (visit.latitude, visit.longitude)


@check(label="VALIDATION_SITE_IN_REGION", version="2025-07-01")
def site_in_region(visit: VisitFacts, around: Surroundings) -> Response:
    """Tell whether the site lies in the region of the group, or a little beside it."""
    if around.region is None:
        return cannot_run("The group has no registered region.")
    if is_within(position(visit), around.region, REGION_BUFFER_M):
        return compliant("The site lies in the region of the group.")
    return not_compliant(
        "position-outside-region",
        "The position lies more than {buffer_km} km outside the region of the group. Check the "
        "order (latitude first), the sign (west and south are minus) and the decimal point.",
        "/site/latitude",
        buffer_km=REGION_BUFFER_M // 1000,
    )


@check(label="AMENDMENT_POSITION_TRANSPOSED", version="2025-07-01")
def axes_swapped(visit: VisitFacts, around: Surroundings) -> Response:
    """Offer the swapped axes when only they lie in the region."""
    latitude, longitude = position(visit)
    return offer(
        position(visit),
        around.region,
        [(longitude, latitude)],
        "Latitude and longitude look swapped: the other way round the site lies in the region. "
        "Confirm and the two are exchanged.",
    )


@check(label="AMENDMENT_POSITION_SIGN", version="2025-07-01")
def sign_lost(visit: VisitFacts, around: Surroundings) -> Response:
    """Offer another sign when only that moves the site into the region."""
    latitude, longitude = position(visit)
    return offer(
        position(visit),
        around.region,
        [(latitude, -longitude), (-latitude, longitude), (-latitude, -longitude)],
        "A minus sign looks lost or added: west of Greenwich and south of the equator are "
        "minus. Confirm and the sign is changed.",
    )


def offer(received: Point, region: Box | None, others: list[Point], text: str) -> Response:
    """Return a proposal if the point is outside and exactly one other reading is inside."""
    if region is None:
        return cannot_run("The group has no registered region.")
    if is_within(received, region, REGION_BUFFER_M):
        return not_amended("The site lies in the region of the group; nothing to propose.")
    fitting = [point for point in others if is_within(point, region, REGION_BUFFER_M)]
    if len(fitting) != 1:
        return not_amended("This slip does not explain the position; nothing to propose.")
    latitude, longitude = fitting[0]
    values = {"latitude": str(latitude), "longitude": str(longitude)}
    return amended(values, text, "position-reading", "/site/latitude")


@check(label="VALIDATION_POSITION_NOT_PLACEHOLDER", version="2025-07-01")
def not_a_placeholder(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find positions that stand for "I do not know"."""
    faults = [
        not_compliant(code, f"{what} {ADVICE}", "/site/latitude")
        for code, what, default in defaults(around)
        if metres_between(position(visit), default) < SAME_POINT_M
    ]
    if around.others_at_position >= SHARED_BY_OTHERS:
        faults.append(
            not_compliant(
                "position-shared",
                "{others} other people sent this very position to the last digit. " + ADVICE,
                "/site/latitude",
                others=around.others_at_position,
            )
        )
    return faults or [compliant("The position is not a known default.")]


ADVICE = "Take the position at the pit, or place the point on the map by hand and say so."


def defaults(around: Surroundings) -> list[tuple[str, str, Point]]:
    """List known defaults as code, sentence and point."""
    known = [("position-zero", "The position is 0, 0, which is at sea.", (Decimal(0), Decimal(0)))]
    if around.meeting_point is not None:
        what = "The position is the meeting point of the group."
        known.append(("position-meeting-point", what, around.meeting_point))
    if around.region is not None:
        what = "The position is the middle of the region."
        known.append(("position-region-centre", what, centre(around.region)))
    return known


@check(label="VALIDATION_POSITION_ACCURACY", version="2025-07-01")
def accuracy(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find positions that are too coarse, of unknown accuracy, or coarser than they claim."""
    if visit.uncertainty_m is None:
        return [accuracy_unknown(visit)]
    faults = []
    limit = around.protocol.checks.accuracy_query_m
    if visit.uncertainty_m > limit:
        faults.append(
            not_compliant(
                "position-coarse",
                "The position is good to {received} m only; {expected} m or better is needed to "
                "tell the habitat. Wait for a better fix, or place the point by hand.",
                "/site/uncertainty_m",
                received=round(visit.uncertainty_m),
                expected=limit,
            )
        )
    rounded_m = rounding_m(visit)
    if rounded_m > ROUNDING_SLACK * visit.uncertainty_m:
        faults.append(
            not_compliant(
                "position-rounded",
                "The position has {decimals} decimals, so it may be off by {rounded} m, yet its "
                "accuracy is given as {received} m. Send all decimals of the device.",
                "/site/latitude",
                decimals=decimals(visit),
                rounded=round(rounded_m),
                received=round(visit.uncertainty_m),
            )
        )
    return faults or [compliant("The position is as exact as needed.")]


def accuracy_unknown(visit: VisitFacts) -> Response:
    """Judge a position without a stated accuracy."""
    if visit.placed_by_hand:
        return compliant("The point was placed by hand, and says so.")
    return not_compliant(
        "position-accuracy-missing",
        "The accuracy of the position is missing. Send the accuracy that the device shows, or "
        "say that the point was placed by hand.",
        "/site/uncertainty_m",
    )


def decimals(visit: VisitFacts) -> int:
    """Return the decimals of the finer axis, trailing zeros left out."""
    exponents = [axis.normalize().as_tuple().exponent for axis in position(visit)]
    return max(0, *(-exponent for exponent in exponents if isinstance(exponent, int)))


def rounding_m(visit: VisitFacts) -> float:
    """Return half a unit of the last decimal, in metres along the meridian."""
    return float(METRES_PER_DEGREE * 10 ** -decimals(visit) / 2)
