"""What a coordinator does for a group: roles, rotation of tokens, a space to practise in."""

from datetime import datetime, timedelta

from django.db import transaction

from surveys.people.models import AccessToken, Group
from surveys.people.operations import issue_token

# Each role holds all of the one before it.
ROLES: dict[str, tuple[str, ...]] = {
    "submitter": ("read", "submit"),
    "coordinator": ("read", "submit", "withdraw", "coordinate"),
}


class TokenEnded(Exception):  # noqa: N818 -- reads as what happened
    """A token that is no longer in force cannot be rotated."""


def role_of(scopes: list[str]) -> str:
    """Return the least role that holds some scopes; none for those of reviewers."""
    return next((role for role, held in ROLES.items() if set(scopes) <= set(held)), "")


def is_in_force(token: AccessToken, at: datetime) -> bool:
    """Tell whether a token opens anything at an instant."""
    return token.revoked_at is None and token.expires_at > at


@transaction.atomic
def rotate_token(
    *, token: AccessToken, overlap: timedelta, at: datetime, by: str
) -> tuple[AccessToken, str]:
    """Issue a like token in place of one, which goes on for a while so that apps can change over.

    The second value is the secret of the new one, shown once.

    Raises
    ------
    TokenEnded
        If the old token is revoked or expired.
    """
    token = AccessToken.objects.select_for_update(of=("self",)).get(pk=token.pk)
    if not is_in_force(token, at) or token.group is None:
        msg = "This token has ended already; make a new one."
        raise TokenEnded(msg)
    lifetime = token.expires_at - token.created_at
    token.expires_at = min(token.expires_at, at + overlap)
    token.save(update_fields=["expires_at"])
    return issue_token(
        holder=token.group,
        name=token.name,
        scopes=token.scopes,
        at=at,
        lifetime_days=max(1, lifetime.days),
        by=by,
    )


def practice_space(group: Group) -> Group:
    """Return the space in which a group tries things out, made when first wanted.

    It is a group of its own, so that references, people and places of practice never meet those
    of real records.
    """
    space, _ = Group.objects.get_or_create(
        practice_of=group,
        defaults={
            "code": f"practice-{group.pk}",
            "name": "Practice",
            "is_of_children": group.is_of_children,
            **{side: getattr(group, side) for side in ("west", "south", "east", "north")},
        },
    )
    return space
