"""Remove photos whose consent has run out, and files that no photo stands for."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from surveys.photos.operations import remove_without_consent
from surveys.photos.tidying import delete_stray_files


class Command(BaseCommand):
    """Tidy the private file store; run it once a day."""

    help = "Remove photos without consent in force and stray files; run it once a day."

    def handle(self, **_options: Any) -> None:
        """Tidy."""
        now = timezone.now()
        removed = remove_without_consent(by="office", at=now)
        stray = delete_stray_files(at=now)
        self.stdout.write(f"{removed} photos without consent removed, {stray} stray files deleted.")
