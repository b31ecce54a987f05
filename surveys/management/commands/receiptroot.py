"""Tell the root over all receipts for answers about consent, to be made known every day."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from surveys.people.ledger import head_of_ledger


class Command(BaseCommand):
    """Write one line: the day, how many receipts there are, and their root."""

    help = "Tell the root over all consent receipts; make it known every day, it names nobody."

    def handle(self, **options: Any) -> None:
        """Write the line."""
        del options
        head = head_of_ledger()
        self.stdout.write(f"{timezone.now():%Y-%m-%d} {head.size} {head.root}")
