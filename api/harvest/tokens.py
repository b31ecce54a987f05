"""Signed tokens for a position in the feed; they carry no time and never expire."""

from uuid import UUID

from django.core import signing

from api.errors import Problem
from portal.records.changes import KIND_ORDER, Position
from portal.records.queries import newest_entry

SALT = "api.changes"


def token_of(position: Position) -> str:
    """Return the token of a position: the same one for the same position."""
    after = "" if position.after is None else position.after.hex
    kind = KIND_ORDER[position.kind] if position.kind < len(KIND_ORDER) else ""
    return signing.Signer(salt=SALT).sign_object([position.entry, kind, after])


def read_token(token: str) -> Position:
    """Return the position of a token.

    Raises
    ------
    Problem
        If it was not made here, or speaks of changes that are not here.
    """
    code = "cursor-invalid"
    try:
        entry, kind, after = signing.Signer(salt=SALT).unsign_object(token)
    except (signing.BadSignature, ValueError, TypeError) as error:
        raise Problem(code, "The token is not one of ours.") from error
    if entry > newest_entry():
        raise Problem(code, "The token speaks of changes that are not here.")
    place = KIND_ORDER.index(kind) if kind else len(KIND_ORDER)
    return Position(entry, place, UUID(after) if after else None)
