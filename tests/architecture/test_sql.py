"""What public addresses ask the database: public tables, and nothing else."""

import re

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from surveys.sites.models import Site
from tests.api.answers import bytes_of
from tests.architecture.doors import public_addresses

# Tables that a process serving only the public side may read.
READABLE = {
    "portal_release",
    "portal_publishedvisit",
    "portal_publishedpit",
    "portal_publishedcount",
    "portal_changeentry",
    "portal_hidingnote",
    "portal_tombstone",
    "portal_releasefile",
    "portal_snapshot",
    "portal_snapshotids",
}
READS = re.compile(
    r"\(*SELECT |SAVEPOINT |RELEASE SAVEPOINT |"
    r'DECLARE "\w+" NO SCROLL CURSOR (WITH HOLD )?FOR \(*SELECT '
)
QUOTED = re.compile(r'"([a-z_]+)"')

pytestmark = pytest.mark.django_db


def tables_of(sql: str) -> set[str]:
    """Return the tables that a statement names."""
    known = {model._meta.db_table for model in apps.get_models(include_auto_created=True)}
    return set(QUOTED.findall(sql)) & known


def test_public_addresses_read_public_tables_only(ids: dict[str, str]) -> None:
    asked: set[str] = set()
    reached: set[int] = set()
    for address in public_addresses(ids):
        with CaptureQueriesContext(
            connection,
        ) as captured:
            answer = Client().get(address)
            reached.add(answer.status_code)
            bytes_of(answer)
        for query in captured.captured_queries:
            sql = query["sql"]
            found = tables_of(sql)
            assert found <= READABLE, f"{address} asks {found - READABLE}"
            assert "surveys_" not in sql, address
            assert READS.match(sql), f"{address} does more than read: {sql}"
            asked |= found

    assert asked == READABLE, "each table is asked, so the check has something to check"
    assert reached == {200, 303, 400, 404, 410}


def test_check_would_see_a_private_table(ids: dict[str, str]) -> None:
    del ids
    with CaptureQueriesContext(connection) as captured:
        list(Site.objects.select_related("owner")[:1])

    assert tables_of(captured.captured_queries[0]["sql"]) == {"surveys_site", "surveys_participant"}


def test_token_on_a_public_address_is_not_looked_up(ids: dict[str, str]) -> None:
    del ids
    headers = {"Authorization": "Bearer dri000000_secret"}

    with CaptureQueriesContext(connection) as captured:
        answer = Client().get("/api/v1/visits", headers=headers)

    assert answer.status_code == 200
    assert all(tables_of(query["sql"]) <= READABLE for query in captured.captured_queries)
