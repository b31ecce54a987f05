"""Load every protocol file of the library."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from surveys.protocol.definition import library
from surveys.protocol.operations import load_protocol


class Command(BaseCommand):
    """Store protocol versions that are not stored yet."""

    help = "Load the protocol files; a version that is stored already is left as it is."

    def handle(self, **options: Any) -> None:
        """Load them and say which."""
        del options
        for protocol in library():
            stored = load_protocol(protocol, at=timezone.now())
            self.stdout.write(f"{stored}: {protocol.title}")
