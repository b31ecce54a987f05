"""What to dig next: visits that a contrast needs, and where a further pit tells most."""

import re
from dataclasses import asdict, dataclass
from typing import Any, ClassVar

from django.http import QueryDict
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_view

from api.open.comparison import SIDES, read_contrast
from api.open.computed import (
    LEFT_OUT,
    NUMBERS_PARAMETER,
    TEXT,
    Chosen,
    ComputedView,
    Figures,
    column,
    document,
    read_numbers,
    unless_default,
)
from api.parameters import DEFAULT_LIMIT, MAX_LIMIT, read_limit, refuse
from portal.records.summaries import comparable_kits, tallied
from portal.statistics.comparison_rows import significant
from portal.statistics.contrasts import Contrast
from portal.statistics.further_pits import FORMULA, FurtherPit, rank_further_pits
from portal.statistics.planning import ASSUMPTIONS, METHOD, Plan, plan_contrast
from portal.statistics.tallies import KEPT_APART

_NUMBER = re.compile(r"[0-9]{1,3}(\.[0-9]{1,4})?")
DEFAULT_RATIO, DEFAULT_POWER = 1.5, 0.8
RATIO_RANGE, POWER_RANGE = (0.05, 20.0), (0.5, 0.99)
NOTHING_TO_PLAN = "No kit and steps hold pits of both sides, so nothing is known of the variance."
_WAY: dict[str, Any] = {
    "kit": column("string", "Protocol versions pooled."),
    "steps": column("string", "Steps by which the animals are taken."),
}
POWER_COLUMNS: dict[str, Any] = _WAY | {
    "first": column("string", "First side in words."),
    "second": column("string", "Second side in words."),
    "ratio": column("number", "Ratio of densities to be shown."),
    "power": column("number", "Probability of showing it."),
    "n_visits": column("integer", "Visits that hold both pits now."),
    "visits_needed": column("integer", "Paired visits needed in all.", nullable=True),
    "visits_from": column("integer", "Rough lower limit of that.", nullable=True),
    "visits_to": column("integer", "Rough upper limit of that.", nullable=True),
    "visits_missing": column("integer", "Paired visits still to be made.", nullable=True),
    "pits_needed": column("integer", "Unpaired pits needed on each side.", nullable=True),
    "sentence": column("string", "The plan in plain words."),
}
WHERE_COLUMNS: dict[str, Any] = {
    "rank": column("integer", "1 for the largest gain."),
    "cell": column("string", "Published cell."),
    "latitude": column("number", "Its centre [degree north]."),
    "longitude": column("number", "Its centre [degree east]."),
    "habitat": column("string", "Habitat of the pits."),
    **_WAY,
    "n_pits": column("integer", "Pits there now."),
    "width_now": column("number", "Natural logarithm of upper over lower 95 percent limit."),
    "width_then": column("number", "The same with one further pit."),
    "gain": column("number", "The difference of both."),
    "sentence": column("string", "The gain in plain words."),
}


@dataclass(frozen=True)
class PowerQuestion:
    """Which ratio between which sides is to be shown, and how surely."""

    contrast: Contrast
    ratio: float
    power: float
    numbers: str

    def parts(self) -> dict[str, str]:
        """Return the parameters as written in the normalised query."""
        first, second = self.contrast.first, self.contrast.second
        return {
            "by": first.by,
            "first": first.asked,
            "second": second.asked,
            "ratio": f"{self.ratio:g}",
            "power": f"{self.power:g}",
            **unless_default(numbers=(self.numbers, "verified")),
        }


@extend_schema_view(
    get=extend_schema(
        **document(
            "planning_power",
            "Visits needed to show a ratio, from the present variance",
            [
                *SIDES,
                OpenApiParameter("ratio", float, description="From 0.05 to 20, not 1. Default 1.5"),
                OpenApiParameter("power", float, description="From 0.5 to 0.99. Default 0.8"),
                NUMBERS_PARAMETER,
            ],
            POWER_COLUMNS,
            {
                "sentence": TEXT,
                "method": TEXT,
                "assumptions": {"type": "array", "items": TEXT},
                "kept_apart": TEXT,
                "pits_left_out": LEFT_OUT,
            },
        )
    )
)
class PowerView(ComputedView[PowerQuestion]):
    """How many visits a contrast needs."""

    path = "/api/v1/planning/power"
    own_parameters: ClassVar[tuple[str, ...]] = (
        "by",
        "first",
        "second",
        "ratio",
        "power",
        "numbers",
    )

    def read(self, parameters: QueryDict) -> PowerQuestion:
        """Understand what is to be shown."""
        ratio = _number(parameters, "ratio", DEFAULT_RATIO, RATIO_RANGE)
        if ratio == 1:
            refuse("ratio", parameters["ratio"], "a number other than 1: no visits show equality")
        return PowerQuestion(
            read_contrast(parameters),
            ratio,
            _number(parameters, "power", DEFAULT_POWER, POWER_RANGE),
            read_numbers(parameters),
        )

    def compute(self, chosen: Chosen, question: PowerQuestion) -> Figures:
        """Judge from the chosen pits."""
        kits = comparable_kits(chosen.release.protocols)
        tallies = tallied(chosen.counts, kits, question.numbers)
        plans = plan_contrast(tallies.pits, question.contrast, question.ratio, question.power)
        about = {
            "sentence": " ".join(plan.sentence for plan in plans) or NOTHING_TO_PLAN,
            "method": METHOD,
            "assumptions": list(ASSUMPTIONS),
            "kept_apart": KEPT_APART,
            "pits_left_out": tallies.left_out,
        }
        return Figures([_plan_row(plan) for plan in plans], tuple(POWER_COLUMNS), about)


@dataclass(frozen=True)
class WhereQuestion:
    """How many places are wanted, and whose numbers are taken."""

    limit: int
    numbers: str

    def parts(self) -> dict[str, str]:
        """Return the parameters as written in the normalised query."""
        return unless_default(
            limit=(str(self.limit), str(DEFAULT_LIMIT)), numbers=(self.numbers, "verified")
        )


@extend_schema_view(
    get=extend_schema(
        **document(
            "planning_where",
            "Published cells and habitats by what one further pit would bring",
            [
                OpenApiParameter("limit", int, description=f"Rows, at most {MAX_LIMIT}."),
                NUMBERS_PARAMETER,
            ],
            WHERE_COLUMNS,
            {"formula": TEXT, "kept_apart": TEXT, "pits_left_out": LEFT_OUT},
        )
    )
)
class WhereView(ComputedView[WhereQuestion]):
    """Where a further pit tells most."""

    path = "/api/v1/planning/where"
    own_parameters: ClassVar[tuple[str, ...]] = ("limit", "numbers")

    def read(self, parameters: QueryDict) -> WhereQuestion:
        """Understand how many places are wanted."""
        return WhereQuestion(read_limit(parameters), read_numbers(parameters))

    def compute(self, chosen: Chosen, question: WhereQuestion) -> Figures:
        """Rank the cells of the chosen pits."""
        kits = comparable_kits(chosen.release.protocols)
        tallies = tallied(chosen.counts, kits, question.numbers)
        ranking = rank_further_pits(tallies.pits)
        first = enumerate(ranking.ranked[: question.limit], start=1)
        about = {
            "formula": FORMULA,
            "kept_apart": KEPT_APART,
            "pits_left_out": tallies.left_out | ranking.left_out,
        }
        rows = [_where_row(rank, place) for rank, place in first]
        return Figures(rows, tuple(WHERE_COLUMNS), about)


def _number(parameters: QueryDict, name: str, default: float, limits: tuple[float, float]) -> float:
    text = parameters.get(name)
    if text is None:
        return default
    value = float(text) if _NUMBER.fullmatch(text) else None
    if value is None or not limits[0] <= value <= limits[1]:
        refuse(name, text, f"a number from {limits[0]:g} to {limits[1]:g}, such as {default:g}")
    return value


def _plan_row(plan: Plan) -> dict[str, Any]:
    low, high = plan.visits_range or (None, None)
    row = asdict(plan) | {
        "visits_from": low,
        "visits_to": high,
        "visits_missing": plan.visits_missing,
        "sentence": plan.sentence,
    }
    return {name: row[name] for name in POWER_COLUMNS}


def _where_row(rank: int, place: FurtherPit) -> dict[str, Any]:
    widths = {
        "width_now": significant(place.width_now),
        "width_then": significant(place.width_then),
        "gain": significant(place.gain),
    }
    row = asdict(place) | widths | {"rank": rank, "sentence": place.sentence}
    return {name: row[name] for name in WHERE_COLUMNS}
