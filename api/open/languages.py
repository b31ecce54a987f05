"""In which language labels are answered."""

from rest_framework.request import Request

from api.languages import HEADER, accepted_language
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
    return accepted_language(request.headers.get(HEADER, ""))
