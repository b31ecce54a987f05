"""What of the API will go, and the headers that tell its callers so.

An entry is added when something is superseded, together with a line in ``CHANGES.md`` and a mail
to the holders of tokens; it stays until the day of its sunset.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.utils.http import http_date

from api.links import address

SHORTEST_NOTICE = timedelta(days=365)


@dataclass(frozen=True)
class Retirement:
    """An address, or one of its parameters, that will go on a day announced in time.

    Attributes
    ----------
    path : str
        The address without a trailing slash; addresses below it go with it.
    parameter : str
        The name of a query parameter; none if the address itself goes.
    deprecated_at, sunset_at : datetime
        Since when it is deprecated, and when it goes.
    explained_at : str
        The path of the page that says what to use instead.
    """

    path: str
    deprecated_at: datetime
    sunset_at: datetime
    parameter: str = ""
    explained_at: str = "/changes"

    def __post_init__(self) -> None:
        """Refuse a notice that is too short.

        Raises
        ------
        ValueError
            If less than a year lies between deprecation and sunset.
        """
        if self.sunset_at - self.deprecated_at < SHORTEST_NOTICE:
            message = f"{self.path} {self.parameter}: a sunset needs 12 months of notice."
            raise ValueError(message)

    def concerns(self, request: HttpRequest) -> bool:
        """Tell whether a request uses it."""
        path = request.path_info
        if path != self.path and not path.startswith(f"{self.path}/"):
            return False
        return not self.parameter or self.parameter in request.GET


RETIREMENTS: tuple[Retirement, ...] = ()


def tell_retirements(request: HttpRequest, response: HttpResponseBase) -> None:
    """Write into an answer that something of its request will go.

    ``Deprecation`` (RFC 9745) holds the earliest day, ``Sunset`` (RFC 8594) the nearest.
    """
    found = [one for one in RETIREMENTS if one.concerns(request)]
    if not found:
        return
    deprecated_at = min(one.deprecated_at for one in found).astimezone(UTC)
    response["Deprecation"] = f"@{int(deprecated_at.timestamp())}"
    response["Sunset"] = http_date(min(one.sunset_at for one in found).timestamp())
    pages = dict.fromkeys(one.explained_at for one in found)
    links = [f'<{address(page)}>; rel="deprecation"' for page in pages]
    response["Link"] = ", ".join([*filter(None, [response.get("Link")]), *links])
