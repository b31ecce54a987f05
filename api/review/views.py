"""What addresses for reviewers share, the reasons, and what a steward releases."""

from typing import ClassVar

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.errors import Problem
from api.links import address
from api.schema import json_body, problems
from api.throttling import TokenThrottle
from api.tokens import BearerToken, ReviewerScope, token_of
from portal.publication.operations import ReleaseRefused, make_release
from surveys.moderation.reasons import REASONS
from surveys.people.models import Reviewer
from surveys.people.permissions import may_release


class ReviewView(APIView):
    """For a reviewer's token with the scope that the method needs."""

    authentication_classes = [BearerToken]
    permission_classes = [ReviewerScope]
    throttle_classes = [TokenThrottle]
    scopes: ClassVar[dict[str, str]] = {"GET": "review", "HEAD": "review", "OPTIONS": "review"}

    def reviewer_of(self, request: Request) -> Reviewer:
        """Return the reviewer who holds the token."""
        reviewer = token_of(request).reviewer
        assert reviewer is not None  # noqa: S101 -- the permission saw to it
        return reviewer


class ReasonsView(ReviewView):
    """Reason codes."""

    @extend_schema(
        operation_id="list_reasons",
        tags=["review"],
        summary="Reason codes with the text that the sender reads",
        responses={200: json_body("Reasons."), **problems(401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer the reason codes."""
        del request
        return Response(
            {
                "data": [
                    {
                        "code": reason.code,
                        "decisions": sorted(reason.decisions),
                        "text": reason.text,
                        "why": reason.why,
                        "next_time": reason.next_time,
                    }
                    for reason in REASONS.values()
                ]
            }
        )


class ReleasesView(ReviewView):
    """Making a release."""

    scopes: ClassVar[dict[str, str]] = {"POST": "steward"}

    @extend_schema(
        operation_id="make_release",
        tags=["review"],
        summary="Publish what is accepted and consented as the next release",
        request=None,
        responses={201: json_body("The release."), **problems(401, 403, 409, 429)},
    )
    def post(self, request: Request) -> Response:
        """Make a release.

        Raises
        ------
        Problem
            If the caller is no steward, or the release would break a promise.
        """
        steward = self.reviewer_of(request)
        code = "not-allowed"
        if not may_release(steward):
            raise Problem(code, "Only a data steward makes releases.")
        code = "wrong-state"
        try:
            release = make_release(at=timezone.now(), by=f"reviewer {steward.code}")
        except ReleaseRefused as error:
            raise Problem(code, str(error)) from error
        where = address(f"/api/v1/releases/{release.number}")
        return Response(
            {"number": release.number, "links": {"self": where}},
            status=201,
            headers={"Location": where},
        )
