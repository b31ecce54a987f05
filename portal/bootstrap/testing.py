"""The whole test suite, on SQLite and on PostgreSQL, with a plain account of what ran."""

from __future__ import annotations

import argparse
import os
import sys
import time
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from portal.bootstrap import interop
from portal.bootstrap.console import BootstrapError, run_to_its_end, say, tidy_on_termination
from portal.bootstrap.postgres import OLDEST_MAJOR, Server, find_server, throw_away_cluster

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

SQLITE, POSTGRES, BOTH = "sqlite", "postgres", "both"
# pytest documentation, "Exit codes"; it also uses 2 where a test file can't be imported.
_MEANINGS = {2: "interrupted, or a test file is broken", 5: "no test was found"}

# One process a core; the tests of a file stay together, for they share what is costly to make.
_SHARED_OUT = ["--numprocesses=auto", "--dist=loadfile"]
# On the second database nothing is learnt from a test that needs none.
_ONCE = "--with-database-only"
_NO_TEST = 5
_NOT_FOUND = f"no server programs of PostgreSQL {OLDEST_MAJOR} or newer found on this machine"


@dataclass(frozen=True)
class Choice:
    """What to run: the databases, pytest's own arguments, and the suite or the real tools."""

    database: str
    pytest_arguments: list[str]
    interop: bool = False

    @property
    def pytest_options(self) -> list[str]:
        """All that is said to pytest; what the user says comes last and holds."""
        ours = interop.PYTEST_OPTIONS if self.interop else _SHARED_OUT
        return [*ours, *self.pytest_arguments]


@dataclass(frozen=True)
class Outcome:
    """How the run on one database ended; no exit code where it didn't take place."""

    database: str
    exit_code: int | None
    seconds: float = 0.0
    reason: str = ""

    @property
    def line(self) -> str:
        """One row of the closing table."""
        if self.exit_code is None:
            return f"{self.database:<18} not run  {self.reason}"
        verdict = "passed" if self.exit_code == 0 else "FAILED"
        reason = self.reason or _MEANINGS.get(self.exit_code, "")
        ending = f"exit code {self.exit_code}" + (f", {reason}" if reason else "")
        return f"{self.database:<18} {verdict:<7}  {ending}, {self.seconds:.1f} s"


def parse(arguments: list[str]) -> Choice:
    """Split our own options from what goes to pytest."""
    parser = argparse.ArgumentParser(
        prog="manage.py test",
        description="Run the test suite, on SQLite and on PostgreSQL where its server is found.",
        epilog=(
            "All other arguments go to pytest; paths are taken from the project folder. The tests "
            "are shared out over all cores: `-n 0` keeps them in one process, as a debugger needs. "
            "Those that need no database run once."
        ),
        allow_abbrev=False,
    )
    parser.add_argument("--db", choices=(SQLITE, POSTGRES, BOTH), help="default: both")
    parser.add_argument(
        "--interop",
        action="store_true",
        help="run real tools against a running server instead of the suite; on SQLite by default",
    )
    known, others = parser.parse_known_args(arguments)
    return Choice(known.db or (SQLITE if known.interop else BOTH), others, interop=known.interop)


def run(root: Path, choice: Choice) -> int:
    """Run the tests on each database in turn, then print one line for each."""
    if choice.interop:
        say(interop.missing_programs())
    with tidy_on_termination():
        outcomes = list(_outcomes(root, choice))
    say(summary(outcomes))
    return verdict(outcomes, asked_for=choice.database)


def summary(outcomes: list[Outcome]) -> str:
    """Return the closing table."""
    rows = (f"  {outcome.line}" for outcome in outcomes)
    return "\n".join(["", "Test runs by database", *rows])


def verdict(outcomes: list[Outcome], *, asked_for: str) -> int:
    """Return 0 if all that had to run passed: PostgreSQL may be absent unless asked for by name."""
    codes = [outcome.exit_code for outcome in outcomes]
    may_be_absent = asked_for == BOTH
    passed = all(code == 0 or (code is None and may_be_absent) for code in codes)
    return 0 if passed and 0 in codes else 1


def environment_for(environ: Mapping[str, str], database_url: str | None) -> dict[str, str]:
    """Return the variables for pytest: none that could lead to an installation's data."""
    kept = {
        name: value
        for name, value in environ.items()
        if name != "DATABASE_URL" and not name.startswith(("DRILOSPHERE_", "PG"))
    }
    return kept if database_url is None else {**kept, "DATABASE_URL": database_url}


def _outcomes(root: Path, choice: Choice) -> Iterator[Outcome]:
    if choice.database in {SQLITE, BOTH}:
        yield _pytest(root, choice, name="SQLite", database_url=None)
    if choice.database in {POSTGRES, BOTH}:
        server = find_server(os.environ)
        yield (
            _on_postgres(root, choice, server)
            if server
            else Outcome("PostgreSQL", None, reason=_NOT_FOUND)
        )


def _on_postgres(root: Path, choice: Choice, server: Server) -> Outcome:
    say(f"\nStarting a throw-away {server.name} from {server.folder}, on a unix socket only")
    try:
        with throw_away_cluster(server) as url:
            if choice.database == POSTGRES:
                return _pytest(root, choice, name=server.name, database_url=url)
            options = [_ONCE, *choice.pytest_arguments]
            again = replace(choice, pytest_arguments=options)
            return _unless_empty(_pytest(root, again, name=server.name, database_url=url))
    except BootstrapError as error:
        say(str(error))
        return Outcome(server.name, 1, reason="the server could not be started")


def _unless_empty(outcome: Outcome) -> Outcome:
    """Take it for no run if all tests chosen need no database; the first run had them."""
    if outcome.exit_code != _NO_TEST:
        return outcome
    return Outcome(outcome.database, None, reason="no test of these needs a database")


def _pytest(root: Path, choice: Choice, *, name: str, database_url: str | None) -> Outcome:
    say(f"\nRunning the tests on {name}")
    started = time.monotonic()
    code = run_to_its_end(
        [sys.executable, "-m", "pytest", *choice.pytest_options],
        folder=root,
        environ=environment_for(os.environ, database_url),
    )
    return Outcome(name, code, time.monotonic() - started)
