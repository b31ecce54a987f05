"""Densities by habitat, season and the like, with n, interval and formula."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from django.http import QueryDict
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_view

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
from portal.records.summaries import (
    FORMULA,
    GROUPINGS,
    Pooled,
    Summary,
    comparable_kits,
    summarise,
)
from portal.statistics.density import density_sentence, pooled_density
from portal.statistics.samples import AlikePits
from portal.statistics.tallies import KEPT_APART

MEASURES = ("density_mean",)
FIGURES: dict[str, Any] = {
    "n_pits": column("integer", "Pits pooled."),
    "n_visits": column("integer", "Visits they come from."),
    "total_count": column("integer", "Animals in all of them."),
    "total_area_m2": column("number", "Area of all of them [m2]."),
    "density_per_m2": column("number", "Sum of counts over sum of areas [1/m2]."),
    "lower_per_m2": column("number", "Lower limit [1/m2]."),
    "upper_per_m2": column("number", "Upper limit [1/m2]."),
    "interval": column("string", "Level of the limits and how they were made."),
    "sentence": column("string", "The figure in plain words."),
}
_GROUP: dict[str, Any] = {
    "kit": column("string", "Protocol versions pooled."),
    "steps": column("string", "Steps by which the animals were taken."),
}


@dataclass(frozen=True)
class SummaryQuestion:
    """By what pits are grouped, and whose numbers are taken."""

    by: tuple[str, ...]
    numbers: str

    def parts(self) -> dict[str, str]:
        """Return the parameters as written in the normalised query."""
        return {"by": ",".join(self.by), **unless_default(numbers=(self.numbers, "verified"))}


@extend_schema_view(
    get=extend_schema(
        **document(
            "summary",
            "Densities by group of pits, with n, interval and formula",
            [
                OpenApiParameter("by", str, description="Any of " + ", ".join(GROUPINGS)),
                OpenApiParameter("measure", str, enum=list(MEASURES)),
                NUMBERS_PARAMETER,
            ],
            _GROUP | FIGURES,
            {"formula": TEXT, "unit": TEXT, "kept_apart": TEXT, "pits_left_out": LEFT_OUT},
        )
    )
)
class SummaryView(ComputedView[SummaryQuestion]):
    """Pooled densities of a release."""

    path = "/api/v1/summary"
    own_parameters: ClassVar[tuple[str, ...]] = ("by", "measure", "numbers")

    def read(self, parameters: QueryDict) -> SummaryQuestion:
        """Understand how to group."""
        read_word(parameters, "measure", MEASURES)
        return SummaryQuestion(_groupings(parameters), read_numbers(parameters))

    def compute(self, chosen: Chosen, question: SummaryQuestion) -> Figures:
        """Pool the chosen counts."""
        kits = comparable_kits(chosen.release.protocols)
        summary = summarise(chosen.counts, question.by, kits, question.numbers)
        rows = [_figures(summary, key) for key in sorted(summary.groups, key=_sort_key)]
        about = {
            "formula": FORMULA,
            "unit": "animals per m2",
            "kept_apart": KEPT_APART,
            "pits_left_out": summary.left_out,
        }
        return Figures(rows, (*summary.by, *FIGURES), about)


def _groupings(parameters: QueryDict) -> tuple[str, ...]:
    by = parameters.get("by", "habitat").split(",")
    for name in by:
        if name not in GROUPINGS or by.count(name) > 1:
            refuse("by", name, "different names out of " + ", ".join(GROUPINGS))
    return tuple(by)


def _figures(summary: Summary, key: tuple[str | None, ...]) -> dict[str, Any]:
    group: Pooled = summary.groups[key]
    name = ", ".join("not entered" if part is None else part for part in key[:-2])
    density = pooled_density(AlikePits(name, group.pits))
    return {
        **dict(zip(summary.by, key, strict=True)),
        "n_pits": density.n_pits,
        "n_visits": group.visits,
        "total_count": density.total_count,
        "total_area_m2": round(density.total_area_m2, 6),
        "density_per_m2": round(density.per_m2, 2),
        "lower_per_m2": round(density.lower_per_m2, 2),
        "upper_per_m2": round(density.upper_per_m2, 2),
        "interval": f"95 percent, {density.interval_method}",
        "sentence": density_sentence(name, density),
    }


def _sort_key(key: Sequence[str | None]) -> tuple[str, ...]:
    return tuple(part or "" for part in key)
