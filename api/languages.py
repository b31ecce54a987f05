"""In which language an answer is written: what ``Accept-Language`` wants most and we have."""

from collections.abc import Iterable, Iterator

from django.http.response import HttpResponseBase
from django.utils.cache import patch_vary_headers
from django.utils.translation import get_language, override
from django.utils.translation.trans_real import parse_accept_lang_header

from portal.records.labels import LANGUAGES

HEADER = "Accept-Language"


def accepted_language(header: str) -> str:
    """Return the language that a header wants most (RFC 9110, section 12.5.4), else English."""
    for tag, weight in parse_accept_lang_header(header.lower()):
        language = LANGUAGES[0] if tag == "*" else tag.partition("-")[0]
        if weight and language in LANGUAGES:
            return language
    return LANGUAGES[0]


def spoken_language() -> str:
    """Return the language of the request at hand; the middleware has set it."""
    language = (get_language() or LANGUAGES[0]).partition("-")[0]
    return language if language in LANGUAGES else LANGUAGES[0]


def tell_language(response: HttpResponseBase, language: str) -> None:
    """Write into an answer in which language its words are, and that they depend on the header."""
    response.setdefault("Content-Language", language)
    patch_vary_headers(response, [HEADER])


def spoken(language: str, parts: Iterable[bytes]) -> Iterator[bytes]:
    """Yield the parts of an answer that is written while it is sent, each made in a language."""
    rest = iter(parts)
    while True:
        with override(language):
            part = next(rest, None)
        if part is None:
            return
        yield part
