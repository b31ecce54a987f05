"""Register a partner group."""

from argparse import ArgumentParser
from decimal import Decimal
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import IntegrityError
from django.utils import timezone

from surveys.people.operations import register_group

EDGES = 4


class Command(BaseCommand):
    """Register a partner group and the box it surveys."""

    help = "Register a partner group, for example: addgroup QVD 'Village Diggers' -0.9,52.6,-0.3,53"

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Name the arguments."""
        parser.add_argument("code")
        parser.add_argument("name")
        parser.add_argument("box", help="west,south,east,north in degrees")
        parser.add_argument("--named", action="store_true", help="agreed to be credited by name")
        parser.add_argument(
            "--children",
            action="store_true",
            help="a school or children's club: who has no birthday here counts as a minor",
        )

    def handle(self, **options: Any) -> None:
        """Register the group.

        Raises
        ------
        CommandError
            If the box cannot be read or the group cannot be stored.
        """
        edges = options["box"].split(",")
        if len(edges) != EDGES:
            msg = "The box is west,south,east,north in degrees."
            raise CommandError(msg)
        west, south, east, north = (Decimal(edge) for edge in edges)
        try:
            register_group(
                code=options["code"],
                name=options["name"],
                named_publicly=options["named"],
                box=(west, south, east, north),
                is_of_children=options["children"],
                at=timezone.now(),
            )
        except IntegrityError as error:
            msg = "The code is taken already, or the box is not in order."
            raise CommandError(msg) from error
        self.stdout.write(f"Registered {options['code']}.")
