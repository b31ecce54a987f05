"""Delete answers to idempotency keys that are older than a day."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from surveys.intake.idempotency import forget_answers


class Command(BaseCommand):
    """Tidy up; run it daily. An old key is forgotten at once where its group sends again."""

    help = "Delete answers to idempotency keys that are older than 24 hours."

    def handle(self, **options: Any) -> None:
        """Delete them."""
        del options
        self.stdout.write(f"{forget_answers(at=timezone.now())} answer(s) deleted.")
