"""The default answer is no."""

from typing import TYPE_CHECKING

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

if TYPE_CHECKING:  # the views import this module through the settings
    from rest_framework.views import APIView


class NobodyUnlessStated(BasePermission):
    """Refuse; a view that is open or takes tokens says so itself."""

    def has_permission(self, request: Request, view: "APIView") -> bool:
        """Return False."""
        del request, view
        return False


class Open(BasePermission):
    """Let everybody read."""

    def has_permission(self, request: Request, view: "APIView") -> bool:
        """Return whether the request changes nothing; what no view takes is left to its 405."""
        return request.method in {"GET", "HEAD", "OPTIONS"} or lacks_method(view, request)


def lacks_method(view: "APIView", request: Request) -> bool:
    """Tell whether a view has no such method, which it answers itself with 405 and Allow."""
    return request.method not in view.allowed_methods
