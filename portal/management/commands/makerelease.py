"""Make the next release."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from portal.publication.operations import ReleaseRefused, make_release
from portal.records.queries import rows_of


class Command(BaseCommand):
    """Publish what is accepted and consented."""

    help = "Publish what is accepted and consented as the next release."

    def handle(self, **options: Any) -> None:
        """Make it and say what it holds.

        Raises
        ------
        CommandError
            If the release would break a promise.
        """
        del options
        try:
            release = make_release(at=timezone.now(), by="command line")
        except ReleaseRefused as error:
            raise CommandError(str(error)) from error
        rows = ", ".join(f"{n} {name}" for name, n in rows_of(release.number).items())
        self.stdout.write(f"Release {release.number}: {rows}.")
