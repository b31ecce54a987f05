"""Take a large body to the disk piece by piece, raw or as the file of a form."""

from collections.abc import Callable, Mapping
from typing import Any

from django.core.exceptions import RequestDataTooBig, SuspiciousOperation
from django.http import UnreadablePostError
from django.http.multipartparser import MultiPartParser, MultiPartParserError
from rest_framework.parsers import BaseParser

from api.errors import Problem
from api.partners.one_file import OneFile
from surveys.uploads.store import Incoming
from surveys.uploads.templates import XLSX

PIECE = 64 * 1024
FORM = "multipart/form-data"
RAW_TYPES = ("text/csv", "application/x-ndjson", XLSX, "application/zip")
Taker = Callable[[Incoming], None]


class _StreamParser(BaseParser):
    """Read nothing by itself: return what takes the body once there is a place for it."""

    def parse(
        self,
        stream: Any,
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """Return a function that reads the body into a file."""
        del media_type
        meta = (parser_context or {})["request"].META

        def take(file: Incoming) -> None:
            try:
                self.take(stream, meta, file)
            except UnreadablePostError as error:
                code = "bad-request"
                raise Problem(code, "The upload broke off. Send it again.") from error

        return take

    def take(self, stream: Any, meta: Mapping[str, Any], file: Incoming) -> None:
        """Read a body into a file."""
        del meta
        while piece := stream.read(PIECE):
            file.write(piece)


class FormParser(_StreamParser):
    """Take ``multipart/form-data`` with one file in the part named ``file``."""

    media_type = FORM

    def take(self, stream: Any, meta: Mapping[str, Any], file: Incoming) -> None:
        """Read the one part.

        Raises
        ------
        Problem
            If it is no form, or holds anything else.
        """
        handler = _Onto(file)
        code = "bad-request"
        try:
            fields, _ = MultiPartParser(meta, stream, [handler], "utf-8").parse()
        except (MultiPartParserError, SuspiciousOperation, RequestDataTooBig) as error:
            raise Problem(code, "The form cannot be read as multipart/form-data.") from error
        if fields or handler.parts != 1:
            code = "parameter-wrong"
            detail = "Send one file, in the part named 'file'; options stand in the address."
            raise Problem(code, detail, parameter="file")


class _Onto(OneFile):
    """Write the file to the disk as it comes."""

    def __init__(self, file: Incoming) -> None:
        super().__init__()
        self.incoming = file

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        """Write a piece, and let no other handler have it."""
        del start
        self.incoming.write(raw_data)


def _raw(media_type: str) -> type[BaseParser]:
    name = media_type.rpartition("/")[2].title()
    return type(f"{name}Parser", (_StreamParser,), {"media_type": media_type})


PARSERS = [*(_raw(media_type) for media_type in RAW_TYPES), FormParser]
