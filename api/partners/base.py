"""What every partner view has: a group's token and the group's own things."""

from typing import ClassVar

from rest_framework.request import Request
from rest_framework.views import APIView

from api.errors import Problem
from api.throttling import TokenThrottle
from api.tokens import BearerToken, GroupScope, token_of
from surveys.intake.queries import visits_of
from surveys.people.models import Group
from surveys.visits.models import Visit


class PartnerView(APIView):
    """For a group's token with the scope that the method needs."""

    authentication_classes = [BearerToken]
    permission_classes = [GroupScope]
    throttle_classes = [TokenThrottle]
    scopes: ClassVar[dict[str, str]] = {"GET": "read", "HEAD": "read", "OPTIONS": "read"}
    practises: ClassVar[bool] = False  # whether tokens for practice are let in

    def group_of(self, request: Request) -> Group:
        """Return the group that holds the token."""
        group = token_of(request).group
        assert group is not None  # noqa: S101 -- the permission saw to it
        return group

    def visit_of(self, request: Request, client_ref: str) -> Visit:
        """Return one of the group's own visits.

        Raises
        ------
        Problem
            If the group has no such visit; another group's is as unknown as none.
        """
        visit = visits_of(self.group_of(request)).filter(client_ref=client_ref).first()
        if visit is None:
            code = "not-found"
            raise Problem(code)
        return visit
