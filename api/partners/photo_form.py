"""Read a form with one photo, and stop reading as soon as it is too large."""

import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NoReturn

from django.core.exceptions import SuspiciousOperation
from django.http.multipartparser import MultiPartParser, MultiPartParserError
from rest_framework.parsers import BaseParser
from rest_framework.request import Request

from api.errors import Problem
from api.partners.one_file import OneFile
from surveys.photos.models import PhotoKind
from surveys.photos.picture import FAULT_TEXTS, MAX_BYTES, Fault

FORM_BYTES = 16 * 1024  # what the form may have around the file
FIELDS = ("pit", "kind")
MAX_PIT = 10


@dataclass(frozen=True)
class PhotoForm:
    """What was sent: the bytes of the file and the fields as text."""

    file: bytes
    fields: Mapping[str, list[str]]


class PhotoFormParser(BaseParser):
    """Take ``multipart/form-data`` with one file; nothing of it is written to a disk."""

    media_type = "multipart/form-data"

    def parse(
        self,
        stream: Any,
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """Return the form, which :func:`photo_form` hands on.

        Raises
        ------
        Problem
            If it is too large or cannot be read.
        """
        del media_type
        meta = (parser_context or {})["request"].META
        if _content_length(meta) > MAX_BYTES + FORM_BYTES:
            _refuse_too_large()
        picture = _OnePicture()
        code = "bad-request"
        try:
            fields, _ = MultiPartParser(meta, stream, [picture], "utf-8").parse()
        except (MultiPartParserError, SuspiciousOperation) as error:
            raise Problem(code, "The form cannot be read as multipart/form-data.") from error
        return PhotoForm(picture.content.getvalue(), dict(fields.lists()))


class _OnePicture(OneFile):
    """Keep the bytes of the file in memory, up to the limit."""

    def __init__(self) -> None:
        super().__init__()
        self.content = io.BytesIO()

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        """Keep a piece, and let no other handler have it."""
        if start + len(raw_data) > MAX_BYTES:
            _refuse_too_large()
        self.content.write(raw_data)


def photo_form(request: Request) -> PhotoForm:
    """Return the form of a request.

    Raises
    ------
    Problem
        If the file is missing, or a field is unknown or there twice.
    """
    form: object = request.data
    code = "parameter-wrong"
    if not isinstance(form, PhotoForm) or not form.file:
        raise Problem(code, "Send the photo in the part named 'file'.", parameter="file")
    for name, values in form.fields.items():
        if name not in FIELDS or len(values) != 1:
            raise Problem(
                code,
                f"The form takes {' and '.join(FIELDS)} once each, and one file.",
                parameter=name[:80],
                allowed=list(FIELDS),
            )
    return form


def pit_number(form: PhotoForm) -> int:
    """Return which pit was photographed.

    Raises
    ------
    Problem
        If it is no number of a pit.
    """
    text = form.fields.get("pit", [""])[0]
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= MAX_PIT):
        code = "parameter-wrong"
        raise Problem(code, f"The field pit takes a number from 1 to {MAX_PIT}.", parameter="pit")
    return int(text)


def photo_kind(form: PhotoForm) -> PhotoKind:
    """Return what the photo shows.

    Raises
    ------
    Problem
        If the word is unknown.
    """
    text = form.fields.get("kind", [""])[0]
    if text not in PhotoKind.values:
        code = "parameter-wrong"
        allowed = list(PhotoKind.values)
        detail = f"The field kind takes {', '.join(allowed)}."
        raise Problem(code, detail, parameter="kind", allowed=allowed)
    return PhotoKind(text)


def _content_length(meta: Mapping[str, Any]) -> int:
    text = str(meta.get("CONTENT_LENGTH") or "0")
    return int(text) if text.isascii() and text.isdigit() else 0


def _refuse_too_large() -> NoReturn:
    """Refuse.

    Raises
    ------
    Problem
        Always.
    """
    code = "too-large"
    raise Problem(code, FAULT_TEXTS[Fault.TOO_LARGE], max_bytes=MAX_BYTES)
