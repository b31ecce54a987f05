"""Load every consent statement."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from surveys.people.wording import library, load_statement


class Command(BaseCommand):
    """Store consent statements that are not stored yet."""

    help = "Load the consent statements; a version that is stored already is left as it is."

    def handle(self, **options: Any) -> None:
        """Load them and say which."""
        del options
        for statement in library():
            stored = load_statement(statement, at=timezone.now())
            self.stdout.write(f"{stored}: {statement.texts['en'].question}")
