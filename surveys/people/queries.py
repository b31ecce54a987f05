"""Questions about the tokens of a group."""

from django.db.models import Q, QuerySet

from surveys.people.models import AccessToken, Group


def tokens_of(group: Group) -> QuerySet[AccessToken]:
    """Return the tokens of a group and of its practice space, newest first."""
    held = Q(group=group) | Q(group__practice_of=group)
    return AccessToken.objects.filter(held).select_related("group").order_by("-id")


def token_of_group(group: Group, prefix: str) -> AccessToken | None:
    """Return one token of a group by its prefix, if it has such a one."""
    return tokens_of(group).filter(prefix=prefix).first()
