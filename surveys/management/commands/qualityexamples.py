"""Run the published examples of the data-quality tests and print how each test fared."""

from collections import Counter
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from surveys.checks.bdq.examples import agrees, read_table

FOLDER = settings.BASE_DIR / "fixtures" / "reference"


class Command(BaseCommand):
    """Print one line a test, and a last one with the sums."""

    help = "Print the data-quality examples by test: passed, failed, skipped for an authority."

    def handle(self, **options: Any) -> None:
        """Print the table.

        Raises
        ------
        CommandError
            If an example is not answered as published.
        """
        del options
        passed, failed = Counter[str](), Counter[str]()
        for example in read_table(FOLDER, "bdq_examples.csv"):
            (passed if agrees(example) else failed)[example["test_label"]] += 1
        skipped = {
            row["test_label"]: (int(row["examples_published"]), row["authority"])
            for row in read_table(FOLDER, "bdq_authority_tests.csv")
        }
        self._line("test", "passed", "failed", "skipped", "needs")
        for label in sorted({*passed, *failed, *skipped}):
            number, authority = skipped.get(label, (0, ""))
            self._line(label, passed[label], failed[label], number, authority)
        sums = (passed.total(), failed.total(), sum(number for number, _ in skipped.values()))
        run, waiting = len({*passed, *failed}), len(skipped)
        self._line(f"{run} tests run, {waiting} skipped", *sums, "")
        if failed:
            message = f"{failed.total()} example(s) are not answered as published."
            raise CommandError(message)

    def _line(self, label: str, *cells: object) -> None:
        passed, failed, skipped, needs = cells
        self.stdout.write(f"{label:<58}{passed:>7}{failed:>7}{skipped:>8}  {needs}".rstrip())
