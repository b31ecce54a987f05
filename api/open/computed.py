"""What answers of computed figures share: counts chosen by filters in, figures with method out."""

from abc import abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, Protocol, TypeVar
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.http import HttpResponse, QueryDict
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse
from rest_framework.request import Request
from rest_framework.response import Response

from api.negotiation import ViewChooses, chosen_format
from api.open import documentation as doc
from api.open.answers import dressed, entity_tag, is_unchanged, meta, unchanged
from api.open.filters import FILTERS
from api.open.formats import CSV, TABLES, as_csv
from api.open.parameters import SHARED, apply_filters, read_filters, read_release
from api.open.views import OpenView
from api.parameters import refuse, require_known
from api.schema import json_body, problems
from portal.records.models import PublishedCount, Release
from portal.statistics.tallies import DEEP_GROUP, DEEP_NEED_A_DRENCH, NUMBERS

# Filters that read what was found: they take zeros away, so that densities come out too high.
_BY_RESULT = (
    *("state", "min_number", "max_number", "min_number_recorded", "max_number_recorded"),
    "verification",
)
BY_RESULT_CAUTION = (
    "Counts were chosen by their own result ({}). Pits with other results, zeros among them, may "
    "be missing or incomplete, so these figures describe the chosen counts and no habitat."
)


class Question(Protocol):
    """What a view understood of its own parameters."""

    def parts(self) -> dict[str, str]:
        """Return the parameters as they are written in the normalised query."""


@dataclass(frozen=True)
class Chosen:
    """The counts that the filters chose, in one release."""

    release: Release
    counts: "QuerySet[PublishedCount]"


@dataclass(frozen=True)
class Figures:
    """Rows of figures with the names of their columns, and what is said of them all."""

    rows: list[dict[str, Any]]
    names: tuple[str, ...]
    about: Mapping[str, Any]


QuestionT = TypeVar("QuestionT", bound=Question)


class ComputedView(OpenView, Generic[QuestionT]):
    """Figures computed from the counts of a release."""

    content_negotiation_class = ViewChooses
    path: ClassVar[str]
    own_parameters: ClassVar[tuple[str, ...]]

    @abstractmethod
    def read(self, parameters: QueryDict) -> QuestionT:
        """Understand the view's own parameters."""

    @abstractmethod
    def compute(self, chosen: Chosen, question: QuestionT) -> Figures:
        """Return the figures."""

    def get(self, request: Request) -> HttpResponse:
        """Answer the figures."""
        form = chosen_format(request, TABLES)
        parameters = request.query_params
        require_known(parameters, [*SHARED, *self.own_parameters, *FILTERS["counts"].base_filters])
        question = self.read(parameters)
        release = read_release(parameters)
        filters = read_filters(parameters, "counts")
        written = {"release": str(release.number), **question.parts(), **filters}
        query = f"{self.path}?{urlencode(sorted(written.items()))}"
        etag = entity_tag(release, query, form=form)
        if is_unchanged(request, etag):
            return unchanged(release, etag)
        counts = apply_filters(PublishedCount.objects.at(release.number), "counts", filters)
        figures = self.compute(Chosen(release, counts), question)
        response: HttpResponse
        if form == "csv":
            body = as_csv(figures.rows, figures.names, for_spreadsheets=False)
            response = HttpResponse(body, content_type=CSV)
        else:
            about = {**figures.about, "cautions": _cautions(filters)}
            body_members = {"data": figures.rows, **about, "meta": meta(release, query)}
            response = Response(body_members)
        return dressed(response, release, etag, {})


def _cautions(filters: Mapping[str, str]) -> list[str]:
    cautions = []
    if by_result := [name for name in _BY_RESULT if name in filters]:
        cautions.append(BY_RESULT_CAUTION.format(", ".join(by_result)))
    if DEEP_GROUP in filters.get("group", "").split(","):
        cautions.append(DEEP_NEED_A_DRENCH)
    return cautions


def read_word(parameters: QueryDict, name: str, allowed: tuple[str, ...]) -> str:
    """Return a parameter out of a closed list; the first word is the default.

    Raises
    ------
    Problem
        If the value is not in the list.
    """
    value = parameters.get(name, allowed[0])
    if value not in allowed:
        refuse(name, value, " or ".join(allowed))
    return value


def read_numbers(parameters: QueryDict) -> str:
    """Return whose numbers are wanted: verified or recorded.

    Raises
    ------
    Problem
        If it is another word.
    """
    return read_word(parameters, "numbers", tuple(NUMBERS))


def unless_default(**parts: tuple[str, str]) -> dict[str, str]:
    """Return the parameters whose value is not their default, given as value and default."""
    return {name: value for name, (value, default) in parts.items() if value != default}


def column(kind: str, description: str, *, nullable: bool = False) -> dict[str, Any]:
    """Return the JSON Schema of one figure."""
    return {"type": [kind, "null"] if nullable else kind, "description": description}


def document(
    operation_id: str,
    summary: str,
    parameters: list[OpenApiParameter],
    columns: Mapping[str, Any],
    about: Mapping[str, Any],
) -> dict[str, Any]:
    """Return the description of an address that answers figures."""
    row = {"type": "object", "required": list(columns), "properties": dict(columns)}
    members = {
        "data": {"type": "array", "items": row},
        **about,
        "cautions": {"type": "array", "items": {"type": "string"}},
        "meta": doc.META,
    }
    return {
        "operation_id": operation_id,
        "tags": ["read"],
        "summary": summary,
        "parameters": [
            doc.RELEASE,
            *parameters,
            OpenApiParameter("f", str, enum=["json", "csv"], description="Wins over Accept."),
            *doc.filter_parameters("counts"),
        ],
        "responses": {
            (200, "application/json"): json_body(summary, members),
            (200, "text/csv"): OpenApiResponse(OpenApiTypes.STR, description="The rows as CSV."),
            304: OpenApiResponse(description="Not changed."),
            **problems(400, 404, 406, 412, 429),
        },
    }


NUMBERS_PARAMETER = OpenApiParameter(
    "numbers",
    str,
    enum=list(NUMBERS),
    description="verified (default): after the last determination; recorded: as written down.",
)
LEFT_OUT: dict[str, Any] = {
    "type": "object",
    "additionalProperties": {"type": "integer"},
    "description": "Pits left out, by reason.",
}
TEXT: dict[str, Any] = {"type": "string"}
