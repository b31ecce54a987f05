"""Issue a token for a group or a reviewer."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from surveys.people.models import AccessToken, Group, Reviewer
from surveys.people.operations import issue_token


class Command(BaseCommand):
    """Issue a token and show its secret once."""

    help = "Issue a token: issuetoken --group QVD --name laptop --scopes read submit withdraw"

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Name the arguments."""
        holder = parser.add_mutually_exclusive_group(required=True)
        holder.add_argument("--group", help="code of a partner group")
        holder.add_argument("--reviewer", help="code of a reviewer; made if new")
        parser.add_argument("--steward", action="store_true", help="the reviewer makes releases")
        parser.add_argument("--name", default="token")
        parser.add_argument("--scopes", nargs="+", choices=AccessToken.SCOPES, required=True)
        parser.add_argument("--days", type=int, default=365)

    def handle(self, **options: Any) -> None:
        """Issue it."""
        _, secret = issue_token(
            holder=_holder(options),
            name=options["name"],
            scopes=options["scopes"],
            at=timezone.now(),
            lifetime_days=options["days"],
        )
        self.stdout.write("The token is shown this once; only its hash is kept:")
        self.stdout.write(secret)


def _holder(options: dict[str, Any]) -> Group | Reviewer:
    if options["group"]:
        group = Group.objects.filter(code=options["group"]).first()
        if group is None:
            msg = f"There is no group {options['group']}; register it with addgroup."
            raise CommandError(msg)
        return group
    reviewer, _ = Reviewer.objects.get_or_create(
        code=options["reviewer"], defaults={"is_steward": options["steward"]}
    )
    return reviewer
