"""Check a receipt for an answer about consent."""

import json
from argparse import ArgumentParser, FileType
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from surveys.audit.operations import first_broken_entry
from surveys.people.receipts import as_text, entry_of, is_whole


class Command(BaseCommand):
    """Say whether a receipt is as it was given, and whether the trail knows it."""

    help = "Check a receipt for an answer about consent, a JSON file."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Name the arguments."""
        parser.add_argument("file", type=FileType("rb"))

    def handle(self, **options: Any) -> None:
        """Check it.

        Raises
        ------
        CommandError
            If the file holds no receipt, it was changed, or the trail does not know it.
        """
        with options["file"] as file:
            receipt = _read(file.read())
        if not is_whole(receipt):
            msg = "CHANGED: the receipt does not say what it said when it was given."
            raise CommandError(msg)
        entry = entry_of(receipt)
        if entry is None:
            msg = "UNKNOWN: the receipt is whole, but the trail of this installation lacks it."
            raise CommandError(msg)
        broken = first_broken_entry()
        if broken is not None and broken.pk <= entry.pk:
            msg = f"BROKEN: the trail was changed at entry {broken.pk}; it proves nothing."
            raise CommandError(msg)
        self.stdout.write(as_text(receipt))
        self.stdout.write(f"WHOLE: given on {entry.at:%Y-%m-%d}, entry {entry.pk} of the trail.")


def _read(text: bytes) -> dict[str, Any]:
    try:
        receipt = json.loads(text)
    except ValueError as error:
        msg = "The file is no JSON."
        raise CommandError(msg) from error
    if not isinstance(receipt, dict):
        msg = "The file holds no receipt."
        raise CommandError(msg)
    return receipt
