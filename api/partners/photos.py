"""Photos of own visits: sending, listing and deleting them."""

import uuid
from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.partners.base import PartnerView
from api.partners.photo_form import PhotoFormParser, photo_form, photo_kind, pit_number
from api.partners.reading import only_known
from api.schema import json_body, problems
from surveys.people.models import Participant
from surveys.photos.models import Photo, PhotoKind
from surveys.photos.operations import (
    NoConsent,
    NotKept,
    keep_photo,
    remove_photos,
    require_photo_consent,
)
from surveys.photos.picture import MAX_BYTES, NotTaken, Picture, rebuilt
from surveys.photos.queries import photos_of
from surveys.visits.models import Visit

FORM = {
    "multipart/form-data": {
        "type": "object",
        "required": ["file", "pit", "kind"],
        "properties": {
            "file": {"type": "string", "format": "binary", "maxLength": MAX_BYTES},
            "pit": {"type": "integer", "minimum": 1, "maximum": 10},
            "kind": {"type": "string", "enum": list(PhotoKind.values)},
        },
        "additionalProperties": False,
    }
}


class PhotosView(PartnerView):
    """The photos of one own visit."""

    parser_classes = [PhotoFormParser]
    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {"POST": "submit"}

    @extend_schema(
        operation_id="list_photos",
        tags=["partner"],
        summary="The photos of a visit and where each stands",
        responses={200: json_body("Photos."), **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request, client_ref: str) -> Response:
        """Answer the photos, in the order they came."""
        only_known(request)
        visit = self.visit_of(request, client_ref)
        return Response({"data": [_shape(photo, visit) for photo in photos_of(visit)]})

    @extend_schema(
        operation_id="send_photo",
        tags=["partner"],
        summary="Send a photo of a pit, an animal or the soil",
        description=(
            "JPEG, PNG or WebP, recognised by its bytes. The picture is made anew from its pixels: "
            "no position, name, comment or other metadata is kept, nor the file as sent. It stays "
            "private; a release has no photos. The recorder must have consented to photos. The "
            "same photo sent again answers 200 and is kept once."
        ),
        request=FORM,
        responses={
            200: json_body("The photo, which was here already."),
            201: json_body("The photo."),
            **problems(400, 401, 403, 404, 409, 413, 415, 422, 429),
        },
    )
    def post(self, request: Request, client_ref: str) -> Response:
        """Keep a photo.

        Raises
        ------
        Problem
            If the visit takes none like this.
        """
        only_known(request)
        visit = self.visit_of(request, client_ref)
        _require_consent(visit.participant)
        form = photo_form(request)
        pit, kind = pit_number(form), photo_kind(form)
        picture = _picture(form.file)
        code = "wrong-state"
        try:
            photo, is_new = keep_photo(
                visit=visit, pit_number=pit, kind=kind, picture=picture, at=timezone.now()
            )
        except NotKept as error:
            raise Problem(code, str(error)) from error
        except NoConsent as error:  # it ended while the picture was made
            code = "consent-missing"
            raise Problem(code, str(error)) from error
        shape = _shape(photo, visit)
        status = 201 if is_new else 200
        return Response(shape, status=status, headers={"Location": shape["links"]["self"]})


class PhotoView(PartnerView):
    """One photo of one own visit."""

    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {"DELETE": "withdraw"}

    @extend_schema(
        operation_id="read_photo",
        tags=["partner"],
        summary="Where a photo stands",
        responses={200: json_body("The photo."), **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request, client_ref: str, key: uuid.UUID) -> Response:
        """Answer a photo."""
        only_known(request)
        visit = self.visit_of(request, client_ref)
        return Response(_shape(_photo_of(visit, key), visit))

    @extend_schema(
        operation_id="delete_photo",
        tags=["partner"],
        summary="Delete a photo for good",
        responses={
            204: OpenApiResponse(description="Deleted."),
            **problems(400, 401, 403, 404, 429),
        },
    )
    def delete(self, request: Request, client_ref: str, key: uuid.UUID) -> Response:
        """Delete a photo with its file."""
        only_known(request)
        visit = self.visit_of(request, client_ref)
        photo = _photo_of(visit, key)
        remove_photos(
            Photo.objects.filter(pk=photo.pk), by=f"group {visit.group.code}", at=timezone.now()
        )
        return Response(status=204)


def _photo_of(visit: Visit, key: uuid.UUID) -> Photo:
    """Return one of a visit's photos.

    Raises
    ------
    Problem
        If the visit has no such photo.
    """
    photo = photos_of(visit).filter(public_key=key).first()
    if photo is None:
        code = "not-found"
        raise Problem(code)
    return photo


def _require_consent(participant: Participant) -> None:
    """Ask for the consent before the file is read.

    Raises
    ------
    Problem
        If none holds.
    """
    try:
        require_photo_consent(participant, at=timezone.now())
    except NoConsent as error:
        code = "consent-missing"
        raise Problem(code, str(error)) from error


def _picture(content: bytes) -> Picture:
    """Return the picture made anew.

    Raises
    ------
    Problem
        If the file is no picture that we take.
    """
    try:
        return rebuilt(content)
    except NotTaken as error:
        code = "photo-not-taken"
        raise Problem(code, str(error), fault=error.fault) from error


def _shape(photo: Photo, visit: Visit) -> dict[str, Any]:
    path = f"/api/v1/partner/visits/{visit.client_ref}/photos/{photo.public_key}"
    return {
        "id": str(photo.public_key),
        "pit": photo.pit.number,
        "revision": photo.pit.revision,
        "kind": photo.kind,
        "state": photo.state,
        "reason_code": photo.reason_code,
        "reason": photo.get_reason_code_display(),
        "width_px": photo.width_px,
        "height_px": photo.height_px,
        "size_bytes": photo.size_bytes,
        "sha256": photo.sha256,
        "received_at": f"{photo.received_at:%Y-%m-%dT%H:%M:%SZ}",
        "links": {"self": address(path)},
    }
