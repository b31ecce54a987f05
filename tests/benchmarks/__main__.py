"""Make the databases, run each topic, print the figures; see ``harness.py``."""

import argparse
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from urllib.parse import urlsplit, urlunsplit

import django
import psycopg

from portal.bootstrap.postgres import find_server, throw_away_cluster
from tests.benchmarks.harness import machine, served

TOPICS = ("pages", "bulk")
HEAD = f"{'what':<44} {'ours ms':>9} {'other ms':>9} {'ratio':>8} {'goal':<9} {'':<7} against\n"


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--only", choices=TOPICS, action="append")
    parser.add_argument("--url", help="server whose databases are kept")
    asked = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.settings")
    django.setup()  # topics may import models; each server is set up by itself
    with _server(asked.url) as url:
        urls = _database(url, asked.rows), _database(url, asked.rows // 10)
        sys.stdout.write(f"\n{machine()}\n{asked.rows:,} counts; p50 of each side\n\n{HEAD}")
        with served(urls, asked.rows) as bench:
            for topic in asked.only or TOPICS:
                for figure in import_module(f"tests.benchmarks.bench_{topic}").measure(bench):
                    sys.stdout.write(f"{figure}\n")
                    sys.stdout.flush()


@contextmanager
def _server(url: str | None) -> Iterator[str]:
    if url is not None:
        yield url
        return
    programs = find_server(os.environ)
    if programs is None:
        sys.exit("No PostgreSQL server programs were found; name a server with --url.")
    with throw_away_cluster(programs) as own:
        yield own


def _database(url: str, rows: int) -> str:
    """Return the URL of a database with so many counts; it is made if it is not there."""
    name = f"benchmark_{rows}"
    with psycopg.connect(url, autocommit=True) as connection:
        found = connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name])
        is_there = found.fetchone() is not None
        if not is_there:
            connection.execute(
                psycopg.sql.SQL("CREATE DATABASE {}").format(psycopg.sql.Identifier(name))
            )
    own = urlunsplit(urlsplit(url)._replace(path=f"/{name}"))
    if not is_there:
        sys.stdout.write(f"Making {rows:,} counts\n")
        sys.stdout.flush()
        subprocess.run(  # noqa: S603 -- ours
            [sys.executable, "-m", "tests.benchmarks.filling", str(rows)],
            env=os.environ | {"DATABASE_URL": own},
            check=True,
        )
    return own


if __name__ == "__main__":
    main()
