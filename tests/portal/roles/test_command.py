"""The command that grants: what it runs, and what it refuses."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection

from tests.portal.roles.conftest import acting_as, refused

pytestmark = pytest.mark.django_db


def run(*arguments: str) -> str:
    printed = StringIO()
    call_command("grantreader", *arguments, stdout=printed)
    return printed.getvalue()


@pytest.mark.skipif(connection.vendor == "postgresql", reason="PostgreSQL has roles")
def test_database_without_roles_is_refused() -> None:
    with pytest.raises(CommandError, match="Only PostgreSQL has roles"):
        run()


def test_right_that_crept_in_is_taken_back_by_another_run(role: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f'GRANT SELECT ON surveys_site TO "{role}", PUBLIC')
    with acting_as(role):
        assert refused("TABLE surveys_site") == ""

    printed = run("--role", role)

    with acting_as(role):
        assert refused("TABLE surveys_site") == "42501"
    assert f"{role} may read portal_" in printed


def test_missing_role_is_named_with_what_to_run(role: str) -> None:
    del role
    with pytest.raises(CommandError, match="CREATE ROLE nobody_yet LOGIN"):
        run("--role", "nobody_yet")


def test_printed_statements_are_those_that_grant(role: str) -> None:
    printed = run("--role", role, "--print")

    assert f'GRANT SELECT ON "public"."portal_release" TO "{role}";' in printed
    assert "surveys_" not in printed
