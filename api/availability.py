"""What is answered while the database or the files cannot be reached, or take too long."""

import logging

from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse

from api.errors import plain_problem

RETRY_AFTER_S = 30
# A statement over its time limit is an operational error too; a file out of reach is the last one.
OUT_OF_REACH = (OperationalError, InterfaceError, OSError)
logger = logging.getLogger(__name__)


def unavailable(request: HttpRequest, error: Exception) -> HttpResponse | None:
    """Answer an error that may be over soon; any other is left to the 500 handler."""
    if not isinstance(error, OUT_OF_REACH):
        return None
    logger.error("Out of reach for %s", request.method, exc_info=error)
    response = plain_problem("unavailable")
    response["Retry-After"] = str(RETRY_AFTER_S)
    return response
