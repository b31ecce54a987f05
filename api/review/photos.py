"""Photos that wait for a reviewer: looking at them, approving and refusing."""

import uuid
from datetime import datetime
from typing import Any, ClassVar, Literal

from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from pydantic import BaseModel, ConfigDict
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.negotiation import ViewChooses
from api.parameters import refuse, require_known
from api.review.reading import read_body
from api.review.views import ReviewView
from api.schema import json_body, problems
from surveys.people.models import Reviewer
from surveys.people.permissions import may_review
from surveys.photos.models import Photo, PhotoReason, PhotoState
from surveys.photos.operations import NotAllowed, NotDecidable, decide_photo
from surveys.photos.picture import STORED_TYPE
from surveys.photos.queries import photo_to_review, photos_for
from surveys.photos.storage import private_files

VIEWABLE = (PhotoState.HELD.value, PhotoState.APPROVED.value)


class PhotoDecisionIn(BaseModel):
    """A decision on one photo; refusing needs a reason."""

    model_config = ConfigDict(extra="forbid")

    decision: Literal["approved", "refused"]
    reason_code: PhotoReason | None = None


class PhotosView(ReviewView):
    """Photos in a state."""

    @extend_schema(
        operation_id="list_photos_to_review",
        tags=["review"],
        summary="Photos that this reviewer may look at, oldest first",
        parameters=[OpenApiParameter("state", str, enum=list(VIEWABLE), default=VIEWABLE[0])],
        responses={200: json_body("Photos."), **problems(400, 401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer the photos."""
        require_known(request.query_params, ["state"])
        state = request.query_params.get("state", VIEWABLE[0])
        if state not in VIEWABLE:
            refuse("state", state, " or ".join(VIEWABLE))
        found = photos_for(self.reviewer_of(request), state=state, at=timezone.now())
        return Response({"data": [_shape(photo) for photo in found]})


class PhotoFileView(ReviewView):
    """The rebuilt picture."""

    content_negotiation_class = ViewChooses

    @extend_schema(
        operation_id="read_photo_file",
        tags=["review"],
        summary="A photo as it was rebuilt",
        responses={
            (200, STORED_TYPE): OpenApiResponse(OpenApiTypes.BINARY, description="The picture."),
            **problems(400, 401, 403, 404, 429),
        },
    )
    def get(self, request: Request, key: uuid.UUID) -> HttpResponse:
        """Answer the bytes.

        Raises
        ------
        Problem
            If the file went in this very moment.
        """
        require_known(request.query_params, [])
        photo = _photo_for(self.reviewer_of(request), key, timezone.now())
        try:
            with private_files().open(photo.storage_name) as file:
                content = file.read()
        except FileNotFoundError as error:
            code = "not-found"
            raise Problem(code) from error
        response = HttpResponse(content, content_type=STORED_TYPE)
        response["Content-Disposition"] = f'attachment; filename="{photo.public_key}.jpg"'
        return response


class PhotoDecisionView(ReviewView):
    """Deciding on a photo."""

    scopes: ClassVar[dict[str, str]] = {"POST": "review"}

    @extend_schema(
        operation_id="decide_photo",
        tags=["review"],
        summary="Approve a photo, or refuse it, which deletes its file",
        description=(
            "An approved photo can still be refused, for a face may be seen late. "
            "Reasons: " + ", ".join(PhotoReason.values) + "."
        ),
        request=PhotoDecisionIn,
        responses={
            200: json_body("The photo."),
            **problems(400, 401, 403, 404, 409, 415, 422, 429),
        },
    )
    def post(self, request: Request, key: uuid.UUID) -> Response:
        """Store a decision.

        Raises
        ------
        Problem
            If reason and decision do not go together, the photo is decided already, or it is
            not for this reviewer.
        """
        require_known(request.query_params, [])
        reviewer, now = self.reviewer_of(request), timezone.now()
        photo = _photo_for(reviewer, key, now)
        sent = read_body(request, PhotoDecisionIn)
        if (sent.decision == "refused") != (sent.reason_code is not None):
            code = "invalid-records"
            raise Problem(code, "Refusing needs a reason_code, and only refusing takes one.")
        try:
            decided = decide_photo(
                photo=photo,
                reviewer=reviewer,
                state=PhotoState(sent.decision),
                reason_code=sent.reason_code,
                at=now,
            )
        except NotAllowed as error:
            code = "not-allowed"
            raise Problem(code, str(error)) from error
        except NotDecidable as error:
            code = "wrong-state"
            raise Problem(code, str(error)) from error
        return Response(_shape(decided))


def _photo_for(reviewer: Reviewer, key: uuid.UUID, at: datetime) -> Photo:
    """Return a photo that a reviewer may look at.

    Raises
    ------
    Problem
        If there is none to look at (404), or it is of the reviewer's household (403).
    """
    photo = photo_to_review(key, at=at)
    code = "not-found"
    if photo is None:
        raise Problem(code)
    code = "not-allowed"
    if not may_review(reviewer, photo.pit.visit.participant):
        raise Problem(code)
    return photo


def _shape(photo: Photo) -> dict[str, Any]:
    visit = photo.pit.visit
    base = f"/api/v1/review/photos/{photo.public_key}"
    return {
        "id": str(photo.public_key),
        "group": visit.group.code,
        "client_ref": visit.client_ref,
        "revision": photo.pit.revision,
        "visited_on": visit.visited_on.isoformat(),
        "pit": photo.pit.number,
        "kind": photo.kind,
        "state": photo.state,
        "reason_code": photo.reason_code,
        "width_px": photo.width_px,
        "height_px": photo.height_px,
        "size_bytes": photo.size_bytes,
        "received_at": f"{photo.received_at:%Y-%m-%dT%H:%M:%SZ}",
        "links": {"file": address(f"{base}/file"), "decision": address(f"{base}/decision")},
    }
