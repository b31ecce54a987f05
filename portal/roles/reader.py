"""The database role of the public side: it may read a written list of tables, and nothing else.

The wall is the missing grant. Time limits and the read-only default are kept as good manners: a
session can switch them off (PostgreSQL manual, "Client Connection Defaults"). Functions are open to
everybody unless that is taken back, and so is making temporary tables (same, "Privileges").
"""

from collections.abc import Iterator

from django.db import models
from psycopg import sql

from portal.records.models import (
    ChangeEntry,
    HidingNote,
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    ReleaseFile,
    Tombstone,
)
from portal.snapshots.models import Snapshot, SnapshotIds

SCHEMA = "public"
VERSIONED: tuple[type[models.Model], ...] = (PublishedVisit, PublishedPit, PublishedCount)
READABLE: tuple[type[models.Model], ...] = (
    Release,
    *VERSIONED,
    ChangeEntry,
    HidingNote,
    Tombstone,
    ReleaseFile,
    Snapshot,
    SnapshotIds,
)
POLICY = "rows_shown"
MANNERS = {
    "default_transaction_read_only": "on",
    "statement_timeout": "15s",
    "lock_timeout": "2s",
    "idle_in_transaction_session_timeout": "30s",
}
CONNECTIONS = 40


def readable_tables() -> list[str]:
    """Return the tables that the role may read, in alphabetical order."""
    return sorted(model._meta.db_table for model in READABLE)


def reader_statements(role: str, database: str) -> list[sql.Composed]:
    """Return what takes every right from a role and gives back what the public side needs.

    Parameters
    ----------
    role : str
        An existing role that owns nothing; everybody else (``PUBLIC``) loses the same rights.
    database : str
        Name of the database, whose tables lie in the schema ``public``.

    Returns
    -------
    list
        Statements to be run in one transaction by the owner of the tables; running them again
        changes nothing.
    """
    names = {
        "role": sql.Identifier(role),
        "database": sql.Identifier(database),
        "schema": sql.Identifier(SCHEMA),
    }
    return [
        *(sql.SQL(text).format(**names) for text in _TAKEN),
        *(
            sql.SQL("GRANT SELECT ON {table} TO {role}").format(
                table=sql.Identifier(SCHEMA, table), **names
            )
            for table in readable_tables()
        ),
        *_policies(names["role"]),
        *(
            sql.SQL("ALTER ROLE {role} SET {setting} = {value}").format(
                setting=sql.Identifier(setting), value=sql.Literal(value), **names
            )
            for setting, value in MANNERS.items()
        ),
        sql.SQL("ALTER ROLE {role} CONNECTION LIMIT {n}").format(
            n=sql.Literal(CONNECTIONS), **names
        ),
    ]


def _policies(role: sql.Identifier) -> Iterator[sql.Composed]:
    """Yield the policies that keep hidden rows from the role; the owner is not bound by them."""
    for model in VERSIONED:
        names = {
            "table": sql.Identifier(SCHEMA, model._meta.db_table),
            "policy": sql.Identifier(POLICY),
            "role": role,
        }
        for text in (
            "ALTER TABLE {table} ENABLE ROW LEVEL SECURITY",
            "DROP POLICY IF EXISTS {policy} ON {table}",
            "CREATE POLICY {policy} ON {table} FOR SELECT TO {role} USING (NOT hidden)",
        ):
            yield sql.SQL(text).format(**names)


_TAKEN = (
    "REVOKE ALL ON DATABASE {database} FROM PUBLIC, {role}",
    "REVOKE ALL ON SCHEMA {schema} FROM PUBLIC, {role}",
    "REVOKE ALL ON ALL TABLES IN SCHEMA {schema} FROM PUBLIC, {role}",
    "REVOKE ALL ON ALL SEQUENCES IN SCHEMA {schema} FROM PUBLIC, {role}",
    "REVOKE ALL ON ALL ROUTINES IN SCHEMA {schema} FROM PUBLIC, {role}",
    "ALTER DEFAULT PRIVILEGES REVOKE EXECUTE ON ROUTINES FROM PUBLIC",
    "ALTER ROLE {role} NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS",
    "GRANT CONNECT ON DATABASE {database} TO {role}",
    "GRANT USAGE ON SCHEMA {schema} TO {role}",
)
