"""The reader's rights, asked of the database itself: by its catalogue and by real statements.

Codes of refusal: PostgreSQL manual, appendix A, "Error Codes": 42501 insufficient_privilege.
"""

import re
from typing import Any

import pytest
from django.apps import apps
from django.core.cache import cache
from django.db import connection
from django.test import Client

from portal.records.models import PublishedCount, PublishedVisit
from portal.roles.reader import readable_tables
from tests.api.answers import bytes_of
from tests.architecture.conftest import ids  # noqa: F401 -- a fixture
from tests.architecture.doors import public_addresses
from tests.portal.roles.conftest import acting_as, refused

NO_RIGHT = "42501"
DRAWN_ANEW = re.compile(
    rb'urn:uuid:[0-9a-f-]+|X-CSRFTOKEN[^\n]+|"timeStamp": ?"[^"]+"|<responseDate>[^<]+'
)
READS = ('SELECT count(*) FROM "{}"', 'TABLE "{}"')
WRITES = ('DELETE FROM "{}"', 'TRUNCATE "{}" CASCADE', 'LOCK "{}"', 'COPY "{}" FROM STDIN')

pytestmark = pytest.mark.django_db


def rows(sql: str, *values: str) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        return list(cursor.fetchall())


def tables_of_the_project() -> list[str]:
    return [model._meta.db_table for model in apps.get_models(include_auto_created=True)]


def test_rights_in_the_catalogue_are_the_written_list(role: str) -> None:
    held = rows(
        "SELECT c.relname, p.granted "
        "FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace, "
        "unnest(ARRAY['SELECT', 'INSERT', 'UPDATE', 'DELETE', 'TRUNCATE', 'REFERENCES', 'TRIGGER'])"
        " AS p(granted) WHERE n.nspname = 'public' AND c.relkind IN ('r', 'v', 'm', 'p', 'f') "
        "AND has_table_privilege(%s, c.oid, p.granted)",
        role,
    )

    assert sorted(held) == [(table, "SELECT") for table in readable_tables()]


def test_no_column_sequence_function_or_schema_is_open_beside_the_list(role: str) -> None:
    columns = rows(
        "SELECT DISTINCT table_name FROM information_schema.columns WHERE table_schema = 'public' "
        "AND has_column_privilege(%s, format('%%I.%%I', table_schema, table_name), column_name, "
        "'SELECT')",
        role,
    )
    sequences = rows(
        "SELECT c.relname FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace "
        "WHERE n.nspname = 'public' AND CASE WHEN c.relkind = 'S' "
        "THEN has_sequence_privilege(%s, c.oid, 'USAGE, SELECT, UPDATE') END",
        role,
    )
    functions = rows(
        "SELECT p.proname FROM pg_proc p JOIN pg_namespace n ON n.oid = p.pronamespace "
        "WHERE n.nspname = 'public' AND has_function_privilege(%s, p.oid, 'EXECUTE')",
        role,
    )
    makes = rows("SELECT has_schema_privilege(%s, 'public', 'CREATE')", role)

    assert sorted(table for (table,) in columns) == readable_tables()
    assert (sequences, functions, makes) == ([], [], [(False,)])


@pytest.mark.parametrize("table", sorted(set(tables_of_the_project()) - set(readable_tables())))
def test_private_table_can_be_neither_read_nor_written(role: str, table: str) -> None:
    with acting_as(role):
        answers = {refused(statement.format(table)) for statement in (*READS, *WRITES)}

    assert answers == {NO_RIGHT}


@pytest.mark.parametrize("table", readable_tables())
def test_public_table_can_be_read_and_not_written(role: str, table: str) -> None:
    with acting_as(role):
        assert {refused(statement.format(table)) for statement in READS} == {""}
        assert {refused(statement.format(table)) for statement in WRITES} == {NO_RIGHT}


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TABLE mine (n int)",
        "CREATE TEMPORARY TABLE mine (n int)",
        "CREATE FUNCTION f() RETURNS int LANGUAGE sql AS 'SELECT 1'",
        "CREATE VIEW v AS SELECT 1",
        "SET ROLE postgres",
        "SELECT pg_read_file('/etc/hostname')",
        "SELECT pg_ls_dir('.')",
        "COPY (SELECT 1) TO '/dev/null'",
        "COPY (SELECT 1) TO PROGRAM 'true'",
        "SELECT lo_import('/etc/hostname')",
        "CREATE ROLE other",
        "SELECT rolpassword FROM pg_authid",
    ],
)
def test_statement_beyond_reading_is_refused(role: str, statement: str) -> None:
    # SET ROLE looks at the session's user, so the session itself has to be the reader's.
    with connection.cursor() as cursor:
        cursor.execute(f'SET LOCAL SESSION AUTHORIZATION "{role}"')

    answer = refused(statement)

    with connection.cursor() as cursor:
        cursor.execute("RESET SESSION AUTHORIZATION")
    assert answer == NO_RIGHT


def test_view_or_definer_function_made_by_the_owner_is_not_open_by_itself(role: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("CREATE VIEW every_site AS SELECT * FROM surveys_site")
        cursor.execute(
            "CREATE FUNCTION sites() RETURNS bigint LANGUAGE sql SECURITY DEFINER "
            "AS 'SELECT count(*) FROM surveys_site'"
        )

    with acting_as(role):
        answers = refused("SELECT * FROM every_site"), refused("SELECT sites()")

    assert answers == (NO_RIGHT, NO_RIGHT)


def test_table_of_tomorrow_is_closed(role: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE tomorrow (place text)")

    with acting_as(role):
        assert refused("SELECT * FROM tomorrow") == NO_RIGHT


def test_statistics_of_private_columns_are_not_shown(role: str, ids: dict[str, str]) -> None:  # noqa: F811
    del ids
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE surveys_site, portal_release")
    told = "SELECT DISTINCT tablename FROM pg_stats WHERE schemaname = 'public'"
    assert {"surveys_site", "portal_release"} <= {table for (table,) in rows(told)}

    with acting_as(role):
        shown = {table for (table,) in rows(told)}

    assert shown <= set(readable_tables())
    assert "portal_release" in shown


def test_hidden_rows_are_not_shown_to_the_role(role: str, ids: dict[str, str]) -> None:  # noqa: F811
    PublishedVisit.objects.filter(id=ids["visit"]).update(hidden=True)
    PublishedCount.objects.filter(id=ids["count"]).update(hidden=True)

    with acting_as(role):
        visits = list(PublishedVisit.objects.filter(id=ids["visit"]))
        counts = list(PublishedCount.objects.filter(id=ids["count"]))

    assert (visits, counts) == ([], [])


def test_every_public_address_answers_the_same_under_the_role(
    role: str,
    ids: dict[str, str],  # noqa: F811
) -> None:
    addresses = public_addresses(ids)
    cache.clear()
    expected = [_answer(address) for address in addresses]

    cache.clear()
    with acting_as(role):
        found = [_answer(address) for address in addresses]

    assert found == expected
    assert {status for status, _ in found} == {200, 303, 400, 404, 410}


def _answer(address: str) -> tuple[int, bytes]:
    """Return status and body, but for what is drawn anew for each answer."""
    answer = Client().get(address)
    return answer.status_code, DRAWN_ANEW.sub(b"", bytes_of(answer))
