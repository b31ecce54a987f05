"""Give a release its DOI."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from portal.publication.identifiers import DoiRefusedError, set_doi
from portal.records.doi import WrongDoiError
from portal.records.models import Release


class Command(BaseCommand):
    """Note the DOI under which a release was registered."""

    help = "Note the DOI under which a release was registered."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the release and its DOI."""
        parser.add_argument("release", type=int, help="Number of the release.")
        parser.add_argument("doi", help="The DOI, such as 10.5555/pits-3.")
        parser.add_argument(
            "--replace", metavar="REASON", default="", help="Why it replaces the DOI set before."
        )

    def handle(self, **options: Any) -> None:
        """Set it and say where it shows.

        Raises
        ------
        CommandError
            If there is no such release, or it may not take this DOI.
        """
        release = Release.objects.filter(number=options["release"]).first()
        if release is None:
            message = f"There is no release {options['release']}."
            raise CommandError(message)
        try:
            set_doi(
                release=release,
                doi=options["doi"],
                at=timezone.now(),
                by="command line",
                reason_to_replace=options["replace"].strip(),
            )
        except (DoiRefusedError, WrongDoiError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"Cite release {release.number} as: {release.citation}\n"
            "Pages, catalogue and API say so from now on. Files that are built keep their bytes "
            "and checksums; files built later carry the DOI."
        )
