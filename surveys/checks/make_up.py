"""Checks of what a pit is made up of: deep-burrowers, adults, and the state of the soil.

Limits are a project judgement (fixtures/reference/plausibility.csv). Each asks the sender and
refuses nothing. They are no parameters of a protocol, for a released protocol never changes.
"""

from decimal import Decimal

from surveys.checks.registry import check
from surveys.checks.response import Response, cannot_run, compliant, not_compliant
from surveys.checks.soil import DROUGHT_WORDS, observed
from surveys.visits.facts import PitFacts, Surroundings, VisitFacts

ANECIC_ADULTS_PER_M2 = 200  # 8 in a pit of 0.04 m2
ADULT_SHARE = Decimal("0.8")
ENOUGH_ANIMALS = 10  # project judgement: fewer animals have any share by chance


@check(label="VALIDATION_ANECICADULTS_LIKELY", version="2026-11-25")
def anecic_likely(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find pits with more large deep-burrowers than such an area feeds."""
    counted = [(place, pit) for place, pit in enumerate(visit.pits) if pit.was_counted()]
    if not counted:
        return [cannot_run("No pit of this visit has counts.")]
    faults = [
        not_compliant(
            "anecic-adults-unusual",
            "Pit {pit}: {received} adult deep-burrowers; more than {expected} in a pit of this "
            "size is rare. Were pigmented litter-dwellers or animals without a saddle among "
            "them? Compare length and colour with the key; if the number is right, it stays.",
            f"/pits/{place}/phases",
            pit=pit.number,
            received=adults_of(pit, "anecic"),
            expected=int(ANECIC_ADULTS_PER_M2 * pit.area_m2),
        )
        for place, pit in counted
        if adults_of(pit, "anecic") > ANECIC_ADULTS_PER_M2 * pit.area_m2
    ]
    return faults or [compliant("The number of adult deep-burrowers is usual.")]


def adults_of(pit: PitFacts, group: str = "") -> int:
    """Return the adults counted in a pit: of one group, or of all."""
    return sum(
        count.number or 0
        for count in pit.counts()
        if count.stage == "adult" and group in {"", count.group}
    )


@check(label="VALIDATION_ADULTSHARE_LIKELY", version="2026-11-25")
def adult_share_likely(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find pits with hardly any young animals, which are easily overlooked."""
    if all(category.stage == "adult" for category in around.protocol.categories):
        return [cannot_run("This kit counts adults only.")]
    enough = [(place, pit) for place, pit in enumerate(visit.pits) if pit.found() >= ENOUGH_ANIMALS]
    if not enough:
        return [cannot_run(f"No pit has {ENOUGH_ANIMALS} animals or more, to tell a share by.")]
    faults = [
        not_compliant(
            "adult-share-unusual",
            "Pit {pit}: {received} of {found} animals are adults; young ones usually make half "
            "or more. Adults have a saddle. Were small animals overlooked, or young ones "
            "counted as adults? If the numbers are right, they stay.",
            f"/pits/{place}/phases",
            pit=pit.number,
            received=adults_of(pit),
            found=pit.found(),
        )
        for place, pit in enough
        if adults_of(pit) > ADULT_SHARE * pit.found()
    ]
    return faults or [compliant("The share of adults is usual.")]


@check(label="VALIDATION_SOILMOISTURE_SUITABLE", version="2026-11-25")
def moisture_suitable(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find pits in soil where animals rest deep down, or which they have left."""
    seen = [
        (place, pit, moisture)
        for place, pit in enumerate(visit.pits)
        if (moisture := observed(pit, "moisture")) is not None
    ]
    if not seen:
        return [cannot_run("No soil moisture was noted.")]
    faults = [
        not_compliant(
            "soil-moisture-unsuitable",
            "Pit {pit}: the soil was {received}. Animals rest deep down in dry soil and leave "
            "waterlogged soil, so this pit is kept but cannot be compared with moist ones. Dig "
            "again when the soil is moist, if you can.",
            f"/pits/{place}/soil/moisture",
            pit=pit.number,
            received=moisture.value,
        )
        for place, pit, moisture in seen
        if moisture.value in DROUGHT_WORDS
    ]
    return faults or [compliant("The soil was neither dry nor waterlogged.")]
