"""Let a view that answers in several formats choose for itself."""

from collections.abc import Iterable

from rest_framework.negotiation import DefaultContentNegotiation
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request


class ViewChooses(DefaultContentNegotiation):
    """Leave ``Accept`` to the view: it knows of formats that are no renderers."""

    def select_renderer(
        self, request: Request, renderers: Iterable[BaseRenderer], format_suffix: str | None = None
    ) -> tuple[BaseRenderer, str]:
        """Return the JSON renderer, for views that answer with plain data."""
        del request, format_suffix
        renderer = next(iter(renderers))
        return renderer, renderer.media_type
