"""Give the database role of the public side what it needs, and take everything else from it."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction

from portal.roles.reader import readable_tables, reader_statements


class Command(BaseCommand):
    """Grant the public side its tables; run it after each migration."""

    help = (
        "Let a PostgreSQL role read the published tables and nothing else. Make the role first "
        "(CREATE ROLE ... LOGIN), then serve the public side with it and DRILOSPHERE_FACES=public."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the role's name."""
        parser.add_argument("--role", default="drilosphere_reader")
        parser.add_argument(
            "--print", action="store_true", dest="only_print", help="show the SQL, run nothing"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Run or print the statements.

        Raises
        ------
        CommandError
            On another database than PostgreSQL, or if the role is missing.
        """
        del args
        if connection.vendor != "postgresql":
            msg = "Only PostgreSQL has roles; on SQLite the file's own rights are all there is."
            raise CommandError(msg)
        role = options["role"]
        statements = reader_statements(role, connection.settings_dict["NAME"])
        if options["only_print"]:
            with connection.cursor() as cursor:
                for statement in statements:
                    self.stdout.write(statement.as_string(cursor.connection) + ";")
            return
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", [role])
            if cursor.fetchone() is None:
                msg = (
                    f"There is no role {role!r}: first run CREATE ROLE {role} LOGIN PASSWORD '...'."
                )
                raise CommandError(msg)
            for statement in statements:
                cursor.execute(statement)
        self.stdout.write(f"{role} may read {', '.join(readable_tables())}, and nothing else.")
