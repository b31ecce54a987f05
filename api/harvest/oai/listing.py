"""Lists in pages, and the signed tokens that lead from one to the next.

A list stays open at its end unless ``until`` closes it: an item that changes while it is harvested
moves behind the cursor and comes again with its later datestamp. The newest release and the
dataset, which stand last, change with every release; an end fixed at the first page would leave
the last one empty, which the protocol cannot say.
"""

from dataclasses import dataclass

from django.conf import settings
from django.core import signing

from api.harvest.oai.datestamps import span_of
from api.harvest.oai.faults import Code, Fault
from api.harvest.oai.items import Item, Position, items

SALT = "api.harvest.oai"
BEGINNING: Position = ("", "")


@dataclass(frozen=True)
class Listing:
    """A list as it was first asked for, and the position reached."""

    verb: str
    prefix: str
    since: str
    until: str
    after: Position = BEGINNING


@dataclass(frozen=True)
class Page:
    """Items of a list; ``token`` is empty on the last page, and none where all fit on one."""

    items: list[Item]
    token: str | None


def listing_of(arguments: dict[str, str]) -> Listing:
    """Return the list that a request asks for or goes on with.

    Raises
    ------
    Fault
        ``badArgument``, ``badResumptionToken`` or ``noSetHierarchy``.
    """
    if "resumptionToken" in arguments:
        return _read_token(arguments["resumptionToken"], arguments["verb"])
    since, until = span_of(arguments)
    if "set" in arguments:
        raise Fault(Code.NO_SET_HIERARCHY, "There are no sets here.")
    return Listing(arguments["verb"], arguments["metadataPrefix"], since, until)


def page_of(listing: Listing) -> Page:
    """Return the next page of a list.

    Raises
    ------
    Fault
        ``noRecordsMatch``, or ``badResumptionToken`` where a rest was promised that is gone.
    """
    rest = [
        item
        for item in items()
        if listing.since <= item.datestamp <= listing.until and item.position > listing.after
    ]
    is_first = listing.after == BEGINNING
    if not rest and is_first:
        raise Fault(Code.NO_RECORDS_MATCH, "Nothing changed between from and until.")
    if not rest:
        raise Fault(
            Code.BAD_RESUMPTION_TOKEN,
            "The rest of the list has changed since; ask for the list again.",
        )
    shown = rest[: settings.OAI_PAGE_SIZE]
    if len(rest) > len(shown):
        return Page(shown, _write_token(listing, shown[-1].position))
    return Page(shown, None if is_first else "")


def _signer() -> signing.Signer:
    return signing.Signer(salt=SALT)


def _write_token(listing: Listing, after: Position) -> str:
    # No time inside: the same page has the same token, and a token never expires.
    return _signer().sign_object(
        [listing.verb, listing.prefix, listing.since, listing.until, *after]
    )


def _read_token(token: str, verb: str) -> Listing:
    try:
        made_for, prefix, since, until, *after = _signer().unsign_object(token)
    except (signing.BadSignature, ValueError) as error:
        raise Fault(
            Code.BAD_RESUMPTION_TOKEN, "The token was not made here, or was changed."
        ) from error
    if made_for != verb:
        raise Fault(Code.BAD_RESUMPTION_TOKEN, f"The token belongs to a list of {made_for}.")
    datestamp, identifier = after
    return Listing(verb, prefix, since, until, (datestamp, identifier))
