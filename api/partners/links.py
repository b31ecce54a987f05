"""A personal link for a participant, to be handed over by the group."""

from datetime import timedelta
from typing import Any, ClassVar

from django.conf import settings
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.partners.base import PartnerView
from api.partners.participants import giver_named, participant_of
from api.partners.reading import only_known
from api.schema import json_body, problems
from surveys.people.links import NotUnderAge, issue_link
from surveys.people.models import ConsentGiver

LINK: dict[str, Any] = {
    "url": {"type": "string", "format": "uri", "description": "Whoever has it may withdraw."},
    "expires_at": {"type": "string", "format": "date-time"},
}


class LinkView(PartnerView):
    """A participant's way to their own page."""

    scopes: ClassVar[dict[str, str]] = {"POST": "withdraw"}

    @extend_schema(
        operation_id="issue_personal_link",
        tags=["partner"],
        summary="A link to the participant's own page; hand it over yourselves",
        description=(
            "On the page the person sees their records, downloads them and may withdraw them. "
            "The link is shown once, works for some days, and ends every earlier one of theirs. "
            "We hold no address to send it to. A guardian of somebody under age gets a link of "
            "their own, whose acts are recorded as the guardian's: it can end what was agreed to, "
            "never agree, and ends when the participant comes of age."
        ),
        request={
            "application/json": {
                "type": "object",
                "properties": {
                    "for": {
                        "type": "string",
                        "enum": [*ConsentGiver.values],
                        "default": str(ConsentGiver.SELF),
                        "description": "Who gets the link: the participant, or a guardian.",
                    },
                },
            }
        },
        responses={
            201: json_body("The link.", LINK),
            **problems(400, 401, 403, 404, 415, 429),
        },
    )
    def post(self, request: Request, code: str) -> Response:
        """Issue a link.

        Raises
        ------
        Problem
            If a guardian would act for somebody who is not under age.
        """
        only_known(request)
        participant = participant_of(self.group_of(request), code)
        held_by = giver_named(request, "for")
        try:
            link, token = issue_link(
                participant=participant,
                lifetime=timedelta(days=settings.PERSONAL_LINK_DAYS),
                at=timezone.now(),
                by=f"group {participant.group.code}",
                held_by=held_by,
            )
        except NotUnderAge as error:
            wrong = "parameter-wrong"
            raise Problem(
                wrong, f"{error} Send a birthday first.", parameter="for", received=held_by
            ) from error
        return Response(
            {
                "url": address(f"/my/{token}"),
                "expires_at": f"{link.expires_at:%Y-%m-%dT%H:%M:%SZ}",
            },
            status=201,
        )
