"""Correcting many visits at once, with a rehearsal that shows what would change."""

from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import MEDIA_TYPE, problem_document, with_docs
from api.parsing import body_of
from api.partners.base import PartnerView
from api.partners.reading import choice, only_known
from api.plain_numbers import with_numbers
from api.schema import FAULT, json_body, problems
from api.tokens import token_of
from portal.publication.changed_places import withdraw_coarsened
from surveys.intake.bulk_corrections import NOT_JSON, OK, correct_many
from surveys.intake.operations import ON_ERROR
from surveys.intake.payload import CorrectionsIn

_ITEM: dict[str, Any] = {
    "type": "object",
    "properties": {
        "position": {"type": "integer"},
        "client_ref": {"type": "string"},
        "outcome": {"type": "string", "enum": ["corrected", "unchanged", "rejected"]},
        "revision": {"type": ["integer", "null"]},
        "changed": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {"field": {"type": "string"}, "before": {}, "after": {}},
            },
        },
        "faults": {"type": "integer"},
    },
}
_ANSWER = json_body(
    "What became of each correction, or would.",
    {
        "stored": {"type": "boolean"},
        "summary": {"type": "object"},
        "items": {"type": "array", "items": _ITEM},
        "errors": {"type": "array", "items": FAULT},
    },
)


class CorrectionsView(PartnerView):
    """Corrections in bulk."""

    practises = True
    scopes: ClassVar[dict[str, str]] = {"POST": "submit"}

    @extend_schema(
        operation_id="correct_visits",
        tags=["partner"],
        summary="Correct 1 to 200 visits: each a new revision, the old ones kept",
        description=(
            "Each correction names the revision that was read; one that has changed since is "
            "refused. With `dry_run=true` nothing is stored and the answer shows what would change "
            "in each visit. With `on_error=abort` all are stored or none."
        ),
        request=CorrectionsIn,
        parameters=[
            OpenApiParameter("dry_run", str, enum=["false", "true"]),
            OpenApiParameter("on_error", str, enum=list(ON_ERROR)),
        ],
        responses={200: _ANSWER, **problems(400, 401, 403, 413, 415, 422, 429)},
    )
    def post(self, request: Request) -> Response:
        """Take corrections in."""
        only_known(request, "dry_run", "on_error")
        group, now = self.group_of(request), timezone.now()
        answer = correct_many(
            group=group,
            token_name=token_of(request).name,
            body=body_of(request),
            at=now,
            dry_run=choice(request, "dry_run", ("false", "true")) == "true",
            all_or_nothing=choice(request, "on_error", ON_ERROR) == "abort",
        )
        withdraw_coarsened(group=group, since=now)
        members = with_numbers(answer.body) | with_docs(answer.body["errors"])
        if answer.status == OK:
            return Response(members)
        code = "body-not-json" if answer.status == NOT_JSON else "invalid-records"
        document = problem_document(code, _detail(members), **members)
        return Response(document, status=answer.status, content_type=MEDIA_TYPE)


def _detail(members: dict[str, Any]) -> str:
    summary = members.get("summary")
    if summary is None:
        return str(members["errors"][0]["message"])
    return (
        f"{summary['rejected']} of {summary['received']} corrections were not accepted; "
        "nothing was stored."
    )
