"""Let the holder of a link in force through, and keep every answer between them and us."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.middleware.csrf import CsrfViewMiddleware
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt

from portal.personal.guesses import WINDOW_S, note_wrong_link, tried_too_many
from surveys.people.links import link_of
from surveys.people.models import Participant, PersonalLink

GUARDS = {
    "Cache-Control": "private, no-store",
    "X-Robots-Tag": "noindex",
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; img-src data:; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
}


@dataclass(frozen=True)
class Holder:
    """Who came in by which link."""

    link: PersonalLink
    home: str

    @property
    def participant(self) -> Participant:
        """Return the person whose page it is."""
        return self.link.participant


Guarded = Callable[[HttpRequest, str], HttpResponseBase]
View = Callable[[HttpRequest, Holder], HttpResponseBase]


def for_holders(view: View) -> Guarded:
    """Show a view to holders of a link in force; everybody else gets one and the same page."""

    @csrf_exempt  # checked below, where a refusal can be told in plain words
    @wraps(view)
    def guarded(request: HttpRequest, token: str) -> HttpResponseBase:
        answer = _answer(view, request, token)
        for name, value in GUARDS.items():
            answer[name] = value
        answer.headers.setdefault("Referrer-Policy", "no-referrer")
        return answer

    return guarded


def _answer(view: View, request: HttpRequest, token: str) -> HttpResponseBase:
    if tried_too_many(request):
        return _not_usable(request, status=429, wait_s=WINDOW_S)
    link = link_of(token=token, at=timezone.now())
    if link is None:
        note_wrong_link(request)
        return _not_usable(request, status=404)
    holder = Holder(link, f"/my/{token}")
    if not _is_own_form(request, view):
        context = {"dataset": settings.DATASET, "holder": holder}
        return render(request, "personal/form_refused.html", context, status=403)
    return view(request, holder)


def _is_own_form(request: HttpRequest, view: View) -> bool:
    check = CsrfViewMiddleware(lambda _: HttpResponse())
    return check.process_view(request, view, (), {}) is None


def _not_usable(
    request: HttpRequest, *, status: int, wait_s: int | None = None
) -> HttpResponseBase:
    # Nothing in the words depends on what is wrong with the link.
    context = {"dataset": settings.DATASET, "wait_min": wait_s and wait_s // 60}
    answer = render(request, "personal/not_usable.html", context, status=status)
    if wait_s is not None:
        answer["Retry-After"] = str(wait_s)
    return answer
