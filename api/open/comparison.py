"""Two sets of pits compared: ratio, interval, p, verdict and a plain sentence."""

from dataclasses import dataclass
from typing import Any, ClassVar

from django.http import QueryDict
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_view

from api.errors import Problem
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
    read_word,
    unless_default,
)
from api.parameters import refuse
from portal.records.summaries import comparable_kits, tallied
from portal.records.vocabularies import VOCABULARIES
from portal.statistics.coarse_words import is_coarse
from portal.statistics.comparison_rows import comparison_row
from portal.statistics.contrasts import (
    ADJUSTMENT,
    AUTO_RULE,
    Answer,
    Contrast,
    Pairing,
    compare_sides,
)
from portal.statistics.findings import Outcome
from portal.statistics.sides import NAMES, OTHERS, Side, read_side
from portal.statistics.tallies import KEPT_APART

FORMULA = "ratio = density of the first / density of the second, each animals per m2"
NOTHING_TO_COMPARE = "No kit and steps hold pits of both sides, so nothing can be compared."
_NOT_A_SIDE = "not_looked_for"
COLUMNS: dict[str, Any] = {
    "kit": column("string", "Protocol versions pooled."),
    "steps": column("string", "Steps by which the animals were taken."),
    "first": column("string", "First side in words."),
    "second": column("string", "Second side in words."),
    "pairing": column("string", "paired: pits of one visit with each other; or unpaired."),
    "n": column("integer", "Observations: visits when paired, else pits."),
    "n_visits": column("integer", "Visits that the pits come from."),
    "n_sites": column("integer", "Places that they come from."),
    "first_count": column("integer", "Animals of the first side."),
    "first_area_m2": column("number", "Its area [m2]."),
    "first_per_m2": column("number", "Its density [1/m2]."),
    "second_count": column("integer", "Animals of the second side."),
    "second_area_m2": column("number", "Its area [m2]."),
    "second_per_m2": column("number", "Its density [1/m2]."),
    "ratio": column("number", "First over second, when both were found.", nullable=True),
    "lower": column("number", "Lower 95 percent limit of the ratio.", nullable=True),
    "upper": column("number", "Upper 95 percent limit of the ratio.", nullable=True),
    "p_value": column("number", "Two-sided p of equal densities.", nullable=True),
    "p_adjusted": column("number", "p among all comparisons of the answer.", nullable=True),
    "outcome": column("string", "One of " + ", ".join(one.name.lower() for one in Outcome)),
    "method": column("string", "How ratio, interval and p were found."),
    "sentence": column("string", "The finding in plain words."),
    "caution": column("string", "What the interval does not know of; mostly empty."),
}


@dataclass(frozen=True)
class ComparisonQuestion:
    """What is compared, whose numbers are taken, and whether kits may be mixed."""

    contrast: Contrast
    numbers: str
    pool: bool

    def parts(self) -> dict[str, str]:
        """Return the parameters as written in the normalised query."""
        first, second = self.contrast.first, self.contrast.second
        return {
            "by": first.by,
            "first": first.asked,
            "second": second.asked,
            **unless_default(
                pairing=(self.contrast.pairing, Pairing.AUTO),
                numbers=(self.numbers, "verified"),
                pool=("true" if self.pool else "false", "false"),
            ),
        }


SIDES = [
    OpenApiParameter("by", str, enum=list(NAMES), description="What pits are told apart by."),
    OpenApiParameter(
        "first",
        str,
        required=True,
        description="Words of that vocabulary, any of, by commas; or 'not' and words: all others.",
    ),
    OpenApiParameter("second", str, required=True, description="The other side, in the same way."),
]


@extend_schema_view(
    get=extend_schema(
        **document(
            "comparison",
            "Two sets of pits compared, for each kit and steps apart",
            [
                *SIDES,
                OpenApiParameter("pairing", str, enum=list(Pairing), description=AUTO_RULE),
                OpenApiParameter(
                    "pool",
                    str,
                    enum=["false", "true"],
                    description="true asks for one finding; refused where pits do not compare.",
                ),
                NUMBERS_PARAMETER,
            ],
            COLUMNS,
            {
                "sentence": TEXT,
                "formula": TEXT,
                "interval": TEXT,
                "adjustment": TEXT,
                "kept_apart": TEXT,
                "pits_left_out": LEFT_OUT,
            },
        )
    )
)
class ComparisonView(ComputedView[ComparisonQuestion]):
    """Two sets of pits of a release."""

    path = "/api/v1/comparison"
    own_parameters: ClassVar[tuple[str, ...]] = (
        "by",
        "first",
        "second",
        "pairing",
        "pool",
        "numbers",
    )

    def read(self, parameters: QueryDict) -> ComparisonQuestion:
        """Understand the two sides."""
        return ComparisonQuestion(
            read_contrast(parameters),
            read_numbers(parameters),
            read_word(parameters, "pool", ("false", "true")) == "true",
        )

    def compute(self, chosen: Chosen, question: ComparisonQuestion) -> Figures:
        """Compare the chosen pits."""
        kits = comparable_kits(chosen.release.protocols)
        tallies = tallied(chosen.counts, kits, question.numbers)
        answer = compare_sides(tallies.pits, question.contrast)
        if question.pool:
            require_one(answer)
        about = {
            "sentence": " ".join(one.sentence for one in answer.comparisons) or NOTHING_TO_COMPARE,
            "formula": FORMULA,
            "interval": "95 percent, not adjusted",
            "adjustment": ADJUSTMENT,
            "kept_apart": KEPT_APART,
            "pits_left_out": tallies.left_out | answer.left_out,
        }
        return Figures([comparison_row(one) for one in answer.comparisons], tuple(COLUMNS), about)


def read_contrast(parameters: QueryDict) -> Contrast:
    """Understand what is compared with what.

    Raises
    ------
    Problem
        If a word is unknown, the sides overlap, or pairs cannot be had.
    """
    by = read_word(parameters, "by", tuple(NAMES))
    first, second = _side(parameters, by, "first"), _side(parameters, by, "second")
    shared = [word for word in _words(by) if first.takes((word,)) and second.takes((word,))]
    if shared:
        refuse("second", second.asked, f"words without {', '.join(shared)}, a word of the first")
    pairing = Pairing(read_word(parameters, "pairing", tuple(Pairing)))
    if by == "season" and pairing is Pairing.PAIRED:
        refuse("pairing", pairing, "auto or unpaired for seasons: a visit has only one")
    return Contrast(first, second, pairing)


def _side(parameters: QueryDict, by: str, name: str) -> Side:
    text = parameters.get(name, "")
    side = read_side(by, text)
    if not set(_words(by)).issuperset(side.words):
        allowed = ", ".join(_words(by))
        refuse(name, text, f"any of {allowed}, by commas, or {OTHERS.strip()!r} before them")
    return side


def _words(by: str) -> list[str]:
    finest = (word for word in VOCABULARIES[by] if not is_coarse(word, by))
    return [word for word in finest if word != _NOT_A_SIDE]


def require_one(answer: Answer) -> None:
    """Refuse to pool what was dug or sorted in ways that do not compare.

    Raises
    ------
    Problem
        If the pits are of more than one kit and steps.
    """
    if len(answer.comparisons) <= 1:
        return
    ways = [{"kit": c.kit, "steps": c.steps, "n": c.finding.n} for c in answer.comparisons]
    code = "parameter-wrong"
    raise Problem(
        code,
        f"These pits were dug or sorted in {len(ways)} ways that do not compare. {KEPT_APART} "
        "Leave pool out for one finding each, or choose one by the filters protocol and expellant.",
        parameter="pool",
        received="true",
        allowed="false",
        ways=ways,
    )
