"""In which language labels are answered."""

from django.utils.translation.trans_real import parse_accept_lang_header
from rest_framework.request import Request

from api.parameters import refuse
from portal.records.labels import LANGUAGES


def chosen_language(request: Request) -> str:
    """Return the language asked for by ``lang``, else by ``Accept-Language``, else English.

    Raises
    ------
    Problem
        If ``lang`` names a language that we have not.
    """
    wanted = request.query_params.get("lang")
    if wanted is not None:
        if wanted not in LANGUAGES:
            refuse("lang", wanted, "one of " + ", ".join(LANGUAGES))
        return wanted
    for tag, _ in parse_accept_lang_header(request.headers.get("Accept-Language", "").lower()):
        language = LANGUAGES[0] if tag == "*" else tag.partition("-")[0]
        if language in LANGUAGES:
            return language
    return LANGUAGES[0]
