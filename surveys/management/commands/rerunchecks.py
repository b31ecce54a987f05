"""Check stored visits again after a parameter changed."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from surveys.checks.operations import check_again
from surveys.protocol.queries import protocol_named, protocol_names
from surveys.visits.models import Visit, VisitState

CLOSED = (VisitState.DECLINED, VisitState.WITHDRAWN)


class Command(BaseCommand):
    """Run the checks again; earlier outcomes stay beside the new ones."""

    help = (
        "Check every visit of a protocol again with the parameters in force. Earlier outcomes are "
        "kept, and no decision is changed: accepted visits with new concerns are listed."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Name the arguments."""
        parser.add_argument("protocol", help="key and version, such as contrast-pit/2")

    def handle(self, **options: Any) -> None:
        """Check each visit in a transaction of its own, and say what changed.

        Raises
        ------
        CommandError
            If there is no such protocol.
        """
        protocol = protocol_named(options["protocol"])
        if protocol is None:
            msg = f"There is no {options['protocol']}; there are {', '.join(protocol_names())}."
            raise CommandError(msg)
        visits = Visit.objects.filter(protocol=protocol).exclude(state__in=CLOSED).order_by("pk")
        checked = changed = 0
        for visit in visits.select_related("group").iterator():
            checked += 1
            if check_again(visit=visit, at=timezone.now()):
                changed += 1
                self.stdout.write(f"{visit.group.code}/{visit.client_ref} ({visit.state}) changed")
        self.stdout.write(f"Checked: {checked}. With other concerns than before: {changed}.")
