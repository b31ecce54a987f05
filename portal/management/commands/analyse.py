"""Say what a release says: print the findings, write tables and figures."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from portal.analysis.report import report_of, write_files
from portal.records.models import Release
from portal.records.queries import current_release


class Command(BaseCommand):
    """Answer the planned questions from published rows."""

    help = "Print the findings of a release, and write them as CSV tables and SVG figures."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the options."""
        parser.add_argument("--release", type=int, help="Number; the current one if left out.")
        parser.add_argument("--out", type=Path, help="Folder; beside the releases if left out.")

    def handle(self, **options: Any) -> None:
        """Print and write.

        Raises
        ------
        CommandError
            If there is no such release.
        """
        release = _release(options["release"])
        if release is None:
            msg = "There is no such release."
            raise CommandError(msg)
        folder = options["out"] or settings.MEDIA_ROOT / "analysis" / f"release-{release.number}"
        files = report_of(release)
        write_files(files, folder)
        self.stdout.write(files["report.txt"])
        self.stdout.write(f"Written to {folder}: {', '.join(files)}.")


def _release(number: int | None) -> Release | None:
    if number is None:
        return current_release()
    return Release.objects.filter(number=number).first()
