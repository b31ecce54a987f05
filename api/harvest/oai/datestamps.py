"""Datestamps as texts in UTC to the second, whose order is that of time."""

import re
from collections.abc import Mapping
from datetime import date, datetime

from api.harvest.oai.faults import Code, Fault

GRANULARITY = "YYYY-MM-DDThh:mm:ssZ"
FIRST, LAST = "0001-01-01T00:00:00Z", "9999-12-31T23:59:59Z"
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_SECOND = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z")


def span_of(arguments: Mapping[str, str]) -> tuple[str, str]:
    """Return the first and the last second that ``from`` and ``until`` ask for.

    Raises
    ------
    Fault
        ``badArgument`` if one is no datestamp, they differ in form, or until comes first.
    """
    forms = {
        name: _form_of(name, arguments[name]) for name in ("from", "until") if name in arguments
    }
    if len(set(forms.values())) > 1:
        raise Fault(Code.BAD_ARGUMENT, "Write from and until both by day or both by second.")
    since = _whole(arguments.get("from", FIRST), "T00:00:00Z")
    until = _whole(arguments.get("until", LAST), "T23:59:59Z")
    if since > until:
        raise Fault(Code.BAD_ARGUMENT, "The argument from lies after until.")
    return since, until


def _form_of(name: str, text: str) -> re.Pattern[str]:
    for form, read in ((_DAY, date.fromisoformat), (_SECOND, datetime.fromisoformat)):
        if form.fullmatch(text):
            try:
                read(text)
            except ValueError:  # such as 30 February
                break
            return form
    raise Fault(Code.BAD_ARGUMENT, f"Write {name} as YYYY-MM-DD or {GRANULARITY}.")


def _whole(text: str, clock: str) -> str:
    return text if "T" in text else text + clock
