"""What the addresses for data stewards share."""

from typing import ClassVar

from rest_framework.request import Request

from api.errors import Problem
from api.review.views import ReviewView
from surveys.people.models import Reviewer
from surveys.people.permissions import may_release


class StewardView(ReviewView):
    """For the token of a data steward."""

    scopes: ClassVar[dict[str, str]] = {"GET": "steward", "HEAD": "steward", "OPTIONS": "steward"}

    def steward_of(self, request: Request) -> Reviewer:
        """Return the steward who holds the token.

        Raises
        ------
        Problem
            If the holder is no steward.
        """
        reviewer = self.reviewer_of(request)
        if not may_release(reviewer):
            code = "not-allowed"
            raise Problem(code, "This is for data stewards only.")
        return reviewer
