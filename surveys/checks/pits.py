"""Checks of the holes themselves: size, number, contrast and distance."""

from decimal import Decimal
from itertools import combinations

from surveys.checks.distance import metres_between
from surveys.checks.registry import check
from surveys.checks.response import Response, cannot_run, compliant, not_compliant
from surveys.visits.facts import PitFacts, Surroundings, VisitFacts

SIDE_REFUSE_CM = (10, 100)  # project judgement (plausibility table): pit width or length
SIDE_USUAL_CM = (15, 50)  # the same
SIDE_TOLERANCE_CM = 1  # common practice, no source: a spade cuts no closer
UNIT_SLIPS = ((Decimal(100), "metres"), (Decimal("0.1"), "millimetres"))


@check(label="VALIDATION_PITSIZE_PLAUSIBLE", version="2025-07-01")
def size_plausible(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find pits of a size that nobody digs, which is a slip of unit or digit."""
    kit = around.protocol.checks
    limits = {
        "width_cm": (SIDE_REFUSE_CM, SIDE_USUAL_CM),
        "length_cm": (SIDE_REFUSE_CM, SIDE_USUAL_CM),
        "depth_cm": (kit.depth_refuse_cm, kit.depth_query_cm),
    }
    faults = [
        not_compliant(
            "pit-size-implausible",
            "Pit {pit}: {what} of {received} cm; {expected} cm is possible. {likely}",
            f"/pits/{place}/{name}",
            pit=pit.number,
            what=name.removesuffix("_cm"),
            received=plain(getattr(pit, name)),
            expected=f"{lowest} to {highest}",
            likely=unit_slip(getattr(pit, name), usual),
        )
        for place, pit in enumerate(visit.pits)
        for name, ((lowest, highest), usual) in limits.items()
        if not lowest <= getattr(pit, name) <= highest
    ]
    return faults or [compliant("Every pit has a size that can be dug.")]


def plain(length_cm: Decimal) -> str:
    """Return a length without needless zeros or an exponent."""
    return f"{length_cm.normalize():f}"


def unit_slip(length_cm: Decimal, usual: tuple[int, int]) -> str:
    """Say which slip of unit would explain an impossible length."""
    for factor, unit in UNIT_SLIPS:
        for fixed in (length_cm * factor, length_cm / factor):
            if usual[0] <= fixed <= usual[1]:
                return (
                    f"Was it noted or read in {unit}? Then send {plain(fixed)}; "
                    "lengths are in centimetres."
                )
    return "Lengths are in centimetres; measure again or correct the digit."


@check(label="VALIDATION_PITSIZE_PROTOCOL", version="2025-07-01")
def size_of_the_kit(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find pits whose size or number is not that of the kit."""
    kit = around.protocol
    faults = [fault for place, pit in enumerate(visit.pits) for fault in odd(place, pit, around)]
    if len(visit.pits) > kit.pit.pits_per_visit:
        faults.append(
            not_compliant(
                "too-many-pits",
                "{kit} has {expected} pits a visit, received {received}. Send other pits as a "
                "visit of their own.",
                "/pits",
                kit=kit.name,
                expected=kit.pit.pits_per_visit,
                received=len(visit.pits),
            )
        )
    return faults or [compliant("Size and number of the pits are those of the kit.")]


def odd(place: int, pit: PitFacts, around: Surroundings) -> list[Response]:
    """Return one fault for each length of a pit that the kit does not have."""
    kit = around.protocol
    shallow, deep = kit.checks.depth_query_cm
    slips = [
        (name, expected)
        for name, expected in (("width_cm", kit.pit.width_cm), ("length_cm", kit.pit.length_cm))
        if abs(getattr(pit, name) - expected) > SIDE_TOLERANCE_CM
    ]
    if not shallow <= pit.depth_cm <= deep:
        slips.append(("depth_cm", kit.pit.depth_cm))
    return [
        not_compliant(
            "pit-size-differs",
            "Pit {pit}: {what} of {received} cm, while {kit} digs {expected} cm. If the pit was "
            "really dug so, say why in the note; a reviewer decides how to count it.",
            f"/pits/{place}/{name}",
            pit=pit.number,
            what=name.removesuffix("_cm"),
            received=plain(getattr(pit, name)),
            kit=kit.name,
            expected=plain(expected),
        )
        for name, expected in slips
    ]


@check(label="VALIDATION_VISIT_PAIRED", version="2025-07-01")
def paired(visit: VisitFacts, around: Surroundings) -> Response:
    """Tell whether a visit is a pair of contrasting pits."""
    if around.protocol.pit.pits_per_visit != 2:  # noqa: PLR2004 -- a pair is two
        return cannot_run("This kit does not ask for a pair of pits.")
    ground = {(pit.habitat, frozenset(pit.management or ())) for pit in visit.pits}
    if len(visit.pits) == len(ground) == 2:  # noqa: PLR2004 -- a pair is two
        return compliant("Two pits on two kinds of ground.")
    return not_compliant(
        "visit-unpaired",
        "A pair is two pits on two kinds of ground (habitat or management); received {pits} "
        "pit(s) on {kinds}. The visit is kept but left out of comparisons of pairs.",
        "/pits",
        pits=len(visit.pits),
        kinds=len(ground),
    )


@check(label="VALIDATION_PITS_SEPARATION_INRANGE", version="2025-07-01")
def pits_apart(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find pits on the same point or too far apart to be one visit."""
    placed = [
        (place, (pit.latitude, pit.longitude))
        for place, pit in enumerate(visit.pits)
        if pit.latitude is not None and pit.longitude is not None
    ]
    if len(placed) < 2:  # noqa: PLR2004 -- a distance needs two
        return [cannot_run("Fewer than two pits have a position of their own.")]
    nearest, farthest = around.protocol.checks.pit_separation_m
    faults = []
    for (_, first), (place, second) in combinations(placed, 2):
        apart = metres_between(first, second)
        if not nearest <= apart <= farthest:
            faults.append(
                not_compliant(
                    "pit-position-copied" if first == second else "pits-separation",
                    "Two pits lie {received} m apart; {expected} m are usual. Take "
                    "the position at each pit, or leave it out if only the site is known.",
                    f"/pits/{place}",
                    received=round(apart),
                    expected=f"{nearest} to {farthest}",
                )
            )
    return faults or [compliant("The pits lie at a usual distance from each other.")]
