"""A role of the public side beside private and public rows, on PostgreSQL."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from django.db import connection, transaction

from portal.roles.reader import reader_statements

AsReader = Callable[[], "object"]


@pytest.fixture
def role(db: None) -> str:  # noqa: ARG001 -- the database is needed
    """Make a role as the command does; it goes with the test's transaction."""
    if connection.vendor != "postgresql":
        pytest.skip("only PostgreSQL has roles")
    # Roles are shared by all databases of a server, and tests run side by side.
    name = f"reader_of_{connection.settings_dict['NAME']}"
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE ROLE "{name}" LOGIN')
        for statement in reader_statements(name, connection.settings_dict["NAME"]):
            cursor.execute(statement)
    return name


@contextmanager
def acting_as(role: str) -> Iterator[None]:
    """Run what follows with the rights of a role, on the connection that holds the test's rows."""
    with connection.cursor() as cursor:
        cursor.execute(f'SET LOCAL ROLE "{role}"')
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("RESET ROLE")


def refused(sql: str) -> str:
    """Return the code by which the database refuses a statement, empty if it doesn't."""
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sql)
    except Exception as error:  # noqa: BLE001 -- any refusal is told by its code
        return getattr(error.__cause__, "sqlstate", "") or type(error).__name__
    return ""
