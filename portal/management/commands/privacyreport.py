"""Say what a release shows of people and places."""

from argparse import ArgumentParser
from collections.abc import Iterator
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from portal.publication.privacy_report import PrivacyReport, privacy_report
from portal.records.models import Release
from portal.records.queries import current_release


class Command(BaseCommand):
    """Count what is shown, what is held back, and what was checked."""

    help = (
        "Print for a release the rows by grid level, the smallest groups, the median uncertainty, "
        "what is withheld, the consents checked and the fields published. Ends with an error "
        "if a group is too small or a consent is missing. For stewards; not for publication."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the options."""
        parser.add_argument("--release", type=int, help="Number; the current one if left out.")

    def handle(self, **options: Any) -> None:
        """Print the report.

        Raises
        ------
        CommandError
            If there is no such release, or it breaks a promise.
        """
        number = options["release"]
        release = (
            current_release() if number is None else Release.objects.filter(number=number).first()
        )
        if release is None:
            msg = "There is no such release."
            raise CommandError(msg)
        report = privacy_report(release)
        self.stdout.write("\n".join(_lines(report)))
        if not report.keeps_its_promises:
            msg = f"Release {report.release} breaks a promise: see the lines marked with !."
            raise CommandError(msg)


def _lines(report: PrivacyReport) -> Iterator[str]:
    yield f"Privacy report of release {report.release}"
    for kind, levels in report.rows_by_level.items():
        shown = ", ".join(f"level {level}: {rows}" for level, rows in levels.items()) or "none"
        yield f"  {kind} rows by grid level (0 = no coordinates): {shown}"
    for group in report.smallest_groups:
        mark = "  " if group.is_large_enough else "! "
        yield (
            f"{mark}smallest of {group.groups} {group.place_class} groups: {group.units} sharing, "
            f"{group.needed} needed"
        )
    median = report.median_uncertainty_m
    yield f"  median uncertainty of a visit: {'none' if median is None else f'{median:.0f} m'}"
    hidden = ", ".join(f"{rows} {kind}" for kind, rows in report.hidden_rows.items())
    yield f"  rows hidden since their group became too small: {hidden}"
    yield f"  visits held back, since too few share their place: {report.held_back}"
    consents = report.consents
    mark = "! " if consents.without else "  "
    yield f"{mark}consents checked: {consents.visits} visits, {consents.without} without consent"
    for name, fields in report.fields.items():
        yield f"  fields of {name} ({len(fields)}): {', '.join(fields)}"
