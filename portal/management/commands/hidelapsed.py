"""Hide what consent no longer covers; to be run every day, just after midnight UTC."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from portal.publication.lapsing import hide_lapsed


class Command(BaseCommand):
    """Let consents that ended by themselves take effect: by date, age or new meaning."""

    help = "Hide the records of people whose consent to publication has ended; run it every day."

    def handle(self, **options: Any) -> None:
        """Hide them and say how many."""
        del options
        hidden = hide_lapsed(at=timezone.now(), by="command line")
        self.stdout.write(f"{hidden} visits hidden.")
