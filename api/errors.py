"""Problem documents (RFC 9457) for everything that goes wrong."""

import logging
import uuid
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from rest_framework import exceptions

from api.german import PROBLEMS as GERMAN
from api.languages import spoken_language, tell_language

MEDIA_TYPE = "application/problem+json"
ERRORS_INLINE = 500
logger = logging.getLogger(__name__)

# code: (status, title, what it means, how to mend it)
PROBLEMS: dict[str, tuple[int, str, str, str]] = {
    "not-found": (404, "Nothing here", "No such address or record.", "Check the address."),
    "gone": (
        410,
        "Withdrawn",
        "The record or file was withdrawn; only id, date and reason class are left.",
        "Delete your copy. Files stand again under a new address: see the release.",
    ),
    "parameter-unknown": (
        400,
        "Unknown parameter",
        "The address has a parameter that nobody knows here.",
        "Correct its name; the nearest known one is given.",
    ),
    "parameter-wrong": (
        400,
        "Wrong parameter",
        "A parameter has a value that is not allowed.",
        "Use one of the allowed values.",
    ),
    "cursor-invalid": (
        400,
        "Cursor not valid",
        "The cursor was not made by this service, or was changed.",
        "Start again without a cursor and follow the links as given.",
    ),
    "cursor-mismatch": (
        400,
        "Cursor of another query",
        "Filters, sort order or release changed under the cursor.",
        "Keep the query as it was, or start again without the cursor.",
    ),
    "invalid-records": (
        422,
        "Records were not accepted",
        "Some or all records have errors; each is listed with its place.",
        "Correct the listed fields and send those records again.",
    ),
    "body-not-json": (
        400,
        "Body not readable",
        "The body is not the JSON that we accept.",
        "Send one JSON object in UTF-8.",
    ),
    "token-missing": (
        401,
        "Token needed",
        "This address needs a token that is known and in force.",
        "Send the header Authorization: Bearer YOUR-TOKEN, or ask for a new token.",
    ),
    "scope-missing": (
        403,
        "Not allowed",
        "The token has not the scope that this address needs.",
        "Use a token with that scope.",
    ),
    "practice-only": (
        403,
        "Not for practice",
        "A token for practice does not open this address.",
        "Use a token for real records.",
    ),
    "not-allowed": (
        403,
        "Not allowed",
        "This person may not do this to this record.",
        "Leave the decision to somebody else.",
    ),
    "method-not-allowed": (405, "Wrong method", "The address has no such method.", "See Allow."),
    "format-not-available": (
        406,
        "No such format",
        "The address does not answer in the format asked for.",
        "Ask for one of the formats named.",
    ),
    "body-type-not-taken": (
        415,
        "Content type not taken",
        "The body is of a type that this address does not read.",
        "Send application/json.",
    ),
    "too-large": (413, "Too large", "The body is over the limit.", "Send smaller batches."),
    "photo-not-taken": (
        422,
        "Photo not taken",
        "The file is no picture that we take; its member fault says why.",
        "Send one JPEG, PNG or WebP picture in RGB or grey, not animated and not cut off.",
    ),
    "consent-missing": (
        409,
        "No consent in force",
        "The person concerned has not agreed to this, or not any more.",
        "Ask the person; record the answer before you send again.",
    ),
    "range-not-satisfiable": (
        416,
        "No such bytes",
        "The file ends before the range that was asked for.",
        "See Content-Range for its size.",
    ),
    "idempotency-reused": (
        422,
        "Key used for another request",
        "The Idempotency-Key came before with another body or option.",
        "Use a new key for a new request.",
    ),
    "idempotency-busy": (
        409,
        "Still at work on this key",
        "The first request with this Idempotency-Key is not answered yet.",
        "Wait as long as Retry-After says and send the same request with the same key again.",
    ),
    "idempotency-key-wrong": (
        400,
        "Key not usable",
        "An Idempotency-Key has 1 to 128 printable characters.",
        "Send a key such as a random UUID.",
    ),
    "revision-missing": (
        428,
        "Say which revision",
        "A change needs If-Match with the ETag that you read.",
        "Read the record, then send its ETag in If-Match.",
    ),
    "revision-stale": (
        412,
        "Changed since you read it",
        "Somebody changed or decided the record since you read it.",
        "Read it again and decide anew.",
    ),
    "claimed": (
        409,
        "Claimed by another reviewer",
        "Another reviewer is at work on the visit.",
        "Take another one, or wait until the claim has ended; the answer says when.",
    ),
    "wrong-state": (
        409,
        "Not in this state",
        "The record's state does not allow this.",
        "See the detail.",
    ),
    "too-many-requests": (
        429,
        "Too many requests",
        "The limit of requests is reached.",
        "Wait as long as Retry-After says.",
    ),
    "bad-request": (400, "Not understood", "The request cannot be read.", "See the detail."),
    "server-error": (
        500,
        "Our mistake",
        "Something broke on our side; nothing half-done was kept.",
        "Try again later and tell us the number of the request.",
    ),
    "unavailable": (
        503,
        "Not available just now",
        "The database or the files cannot be reached, or the answer took longer than allowed.",
        "Wait as long as Retry-After says and ask again; if it took too long, ask for less.",
    ),
}


class Problem(exceptions.APIException):
    """Anything to be answered as a problem document; ``code`` is one of ``PROBLEMS``."""

    def __init__(self, code: str, detail: str = "", **members: Any) -> None:
        self.status_code = PROBLEMS[code][0]
        self.headers: dict[str, str] = members.pop("headers", {})
        self.members = members
        super().__init__(detail=detail or PROBLEMS[code][2], code=code)
        self.problem_code = code


_DRF_CODES: dict[type[exceptions.APIException], str] = {
    exceptions.NotFound: "not-found",
    exceptions.ParseError: "body-not-json",
    exceptions.NotAuthenticated: "token-missing",
    exceptions.AuthenticationFailed: "token-missing",
    exceptions.PermissionDenied: "scope-missing",
    exceptions.MethodNotAllowed: "method-not-allowed",
    exceptions.NotAcceptable: "format-not-available",
    exceptions.UnsupportedMediaType: "body-type-not-taken",
    exceptions.Throttled: "too-many-requests",
}


def problem_document(
    code: str, detail: str = "", *, german: str = "", **members: Any
) -> dict[str, Any]:
    """Return the members of a problem document in the language of this request.

    A detail that is there in English only stays beside the German one, as ``detail_en``.
    """
    status, title, meaning, _ = PROBLEMS[code]
    words: dict[str, str] = {"title": title, "detail": detail or meaning}
    if spoken_language() == "de" and code in GERMAN:
        title, meaning, fix = GERMAN[code]
        told = {"detail_en": detail} if detail and not german else {}
        words = {"title": title, "detail": german or f"{meaning} {fix}"} | told
    return {
        "type": f"{settings.PUBLIC_URL}/problems/{code}",
        "status": status,
        **words,
        "instance": f"urn:uuid:{uuid.uuid4()}",
        **members,
    }


def with_docs(faults: list[dict[str, Any]], whole_list: str | None = None) -> dict[str, Any]:
    """Return record faults as members: each with the address of its explanation.

    Beyond so many, the rest stands at ``whole_list``, if it is kept anywhere.
    """
    members: dict[str, Any] = {"errors": [documented(one) for one in faults[:ERRORS_INLINE]]}
    if len(faults) > ERRORS_INLINE:
        members |= {"errors_truncated": True, "errors_total": len(faults)}
        members |= {"errors_link": whole_list} if whole_list else {}
    return members


def documented(fault: dict[str, Any]) -> dict[str, Any]:
    """Return a fault with the address of its explanation."""
    return {**fault, "docs": f"{settings.PUBLIC_URL}/problems/{fault['code']}"}


def problem_response(error: Exception, context: dict[str, Any]) -> HttpResponse | None:
    """Answer an exception of a view; anything unforeseen is left to the 500 handler."""
    if not isinstance(error, exceptions.APIException):
        return None
    headers = dict(getattr(error, "headers", {}))
    if isinstance(error, Problem):
        document = problem_document(error.problem_code, str(error.detail), **error.members)
    else:
        code = next(
            (code for kind, code in _DRF_CODES.items() if isinstance(error, kind)), "bad-request"
        )
        # The library's own words are in its own languages; ours are told in ours.
        said = str(error.detail) if spoken_language() == "en" else ""
        document = problem_document(code, said, **_available(error, context))
    if document["status"] == PROBLEMS["token-missing"][0]:
        headers["WWW-Authenticate"] = 'Bearer realm="drilosphere"'
    wait_s = getattr(error, "wait", None)  # seconds, on a throttled request
    if wait_s is not None:
        headers["Retry-After"] = str(int(wait_s) + 1)
    # Not a Response: that would be rendered by whatever the view renders, HTML included.
    response = JsonResponse(
        document, status=document["status"], headers=headers, content_type=MEDIA_TYPE
    )
    tell_language(response, spoken_language())
    return response


def _available(error: Exception, context: dict[str, Any]) -> dict[str, Any]:
    """Return which formats there are instead of one that is not available."""
    if not isinstance(error, exceptions.NotAcceptable):
        return {}
    return {"available": [renderer.format for renderer in context["view"].renderer_classes]}


def plain_problem(code: str, detail: str = "") -> HttpResponse:
    """Return a problem document outside a REST view."""
    document = problem_document(code, detail)
    response = JsonResponse(document, status=document["status"], content_type=MEDIA_TYPE)
    tell_language(response, spoken_language())
    return response


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer an unknown address."""
    del request, exception
    return plain_problem("not-found")


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer an unforeseen error without a word about its cause."""
    del request
    return plain_problem("server-error")


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer a request that Django itself refuses."""
    del request, exception
    return plain_problem("bad-request")


def form_refused(request: HttpRequest, reason: str) -> HttpResponse:
    """Answer a form that was not sent from one of our own pages."""
    del request, reason
    return plain_problem("not-allowed", "This address takes no forms from elsewhere.")
