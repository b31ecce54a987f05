"""Judge a Darwin Core archive."""

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from portal.checkarchive.container import Limits, UnreadableArchiveError
from portal.checkarchive.inspection import inspect_archive
from portal.checkarchive.registry import all_rules
from portal.checkarchive.report import UNREADABLE
from portal.checkarchive.yardstick import Yardstick

_FINDINGS_PER_RULE = 20


class Command(BaseCommand):
    """Print what is wrong with an archive; 0 nothing, 1 an error, 2 it cannot be read."""

    help = (
        "Print what is wrong with a Darwin Core archive, ours or another's. Exit status: 0 if no "
        "finding is an error, 1 if one is, 2 if the archive cannot be read."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the options."""
        parser.add_argument("path", type=Path, nargs="?", help="The archive, a zip.")
        parser.add_argument("--rules", action="store_true", help="List the rules and stop.")
        parser.add_argument("--json", action="store_true", help="One JSON object a finding.")
        parser.add_argument(
            "--limit",
            type=int,
            default=_FINDINGS_PER_RULE,
            metavar="N",
            help="Findings shown of each rule; the rest is counted (default %(default)s).",
        )
        parser.add_argument(
            "--profile",
            choices=("2023-09", "2026-05"),
            help="Generation of the standard; either one, but not both mixed, if left out.",
        )
        parser.add_argument(
            "--today",
            type=date.fromisoformat,
            metavar="YYYY-MM-DD",
            help="The last day that a record may tell of; the day of publication if left out.",
        )
        parser.add_argument(
            "--max-bytes",
            type=int,
            default=Limits().unpacked,
            metavar="N",
            help="Size to which the archive may unpack (default %(default)s).",
        )

    def handle(self, **options: Any) -> None:
        """Print the rules or the findings.

        Raises
        ------
        CommandError
            If no archive is named, or it cannot be read.
        SystemExit
            If a finding is an error.
        """
        if options["rules"]:
            self._print_rules()
            return
        if options["path"] is None:
            message = "Name the archive, or ask for --rules."
            raise CommandError(message, returncode=UNREADABLE)
        try:
            report = inspect_archive(
                options["path"],
                Yardstick(options["profile"], options["today"]),
                limits=Limits(unpacked=options["max_bytes"]),
                findings_per_rule=max(options["limit"], 0),
            )
        except UnreadableArchiveError as error:
            raise CommandError(str(error), returncode=UNREADABLE) from error
        for line in report.as_json_lines() if options["json"] else report.as_lines():
            self.stdout.write(line)
        if report.exit_status:
            raise SystemExit(report.exit_status)

    def _print_rules(self) -> None:
        for known in all_rules():
            self.stdout.write(
                f"{known.rule_id:24} {known.severity:8} {known.message} [{known.reference}]"
            )
