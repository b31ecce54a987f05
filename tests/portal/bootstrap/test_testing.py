"""The test command: its argument, its databases, its closing table.

Exit codes are pytest's: "Exit codes" in its reference (1 failed, 2 interrupted or not collected,
5 no tests).
"""

from __future__ import annotations

import contextlib
import os
import signal
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from portal.bootstrap import interop, testing
from portal.bootstrap.console import BootstrapError
from portal.bootstrap.postgres import Server
from portal.bootstrap.testing import Choice, Outcome

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

SERVER = Server(Path("/opt/postgresql/bin"), (15, 8))
URL = "postgresql://postgres@somewhere:5432/postgres"
PASSED = Outcome("SQLite", 0, 1.25)
ABSENT = Outcome("PostgreSQL", None, reason="no server")


class Machine:
    """A machine whose pytest ends with given codes, with or without a PostgreSQL server."""

    def __init__(self) -> None:
        self.codes = [0, 0]
        self.server: Server | None = SERVER
        self.starts = True
        self.urls: list[str | None] = []
        self.commands: list[list[str]] = []

    def run(self, command: list[str], *, folder: Path, environ: Mapping[str, str]) -> int:
        assert folder == Path("/project")
        self.commands.append(command)
        self.urls.append(environ.get("DATABASE_URL"))
        return self.codes.pop(0)

    @contextlib.contextmanager
    def cluster(self, _server: Server) -> Iterator[str]:
        if not self.starts:
            message = "initdb failed: no room"
            raise BootstrapError(message)
        yield URL


@pytest.fixture
def machine(monkeypatch: pytest.MonkeyPatch) -> Machine:
    machine = Machine()
    monkeypatch.setattr(testing, "run_to_its_end", machine.run)
    monkeypatch.setattr(testing, "find_server", lambda _environ: machine.server)
    monkeypatch.setattr(testing, "throw_away_cluster", machine.cluster)
    return machine


def run(database: str = testing.BOTH) -> int:
    return testing.run(Path("/project"), Choice(database, ["-x"]))


@pytest.mark.parametrize(
    ("arguments", "choice"),
    [
        ([], Choice("both", [])),
        (["-k", "pits", "--lf"], Choice("both", ["-k", "pits", "--lf"])),
        (["-x", "--db", "postgres", "tests/api"], Choice("postgres", ["-x", "tests/api"])),
        (["--db=sqlite", "--d"], Choice("sqlite", ["--d"])),
        (["--interop"], Choice("sqlite", [], interop=True)),
        (["-x", "--interop", "--db", "both"], Choice("both", ["-x"], interop=True)),
    ],
)
def test_parse_keeps_its_options_and_passes_the_rest(arguments: list[str], choice: Choice) -> None:
    assert testing.parse(arguments) == choice


def test_parse_refuses_an_unknown_database(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="2"):
        testing.parse(["--db", "flatfile"])

    assert "choose from" in capsys.readouterr().err


def test_environment_for_keeps_an_installation_out_of_reach() -> None:
    environ = {
        "DATABASE_URL": "postgresql://live",
        "DRILOSPHERE_FILES_DIR": "/srv/files",
        "PGHOST": "live.example.org",
        "PATH": "/bin",
    }

    assert testing.environment_for(environ, None) == {"PATH": "/bin"}
    assert testing.environment_for(environ, URL) == {"PATH": "/bin", "DATABASE_URL": URL}


def test_run_uses_both_databases_one_after_the_other(
    machine: Machine, capsys: pytest.CaptureFixture[str]
) -> None:
    code = run()

    table = capsys.readouterr().out.split("Test runs by database")[1]
    assert code == 0
    assert machine.urls == [None, URL]
    assert [(command[1:3], command[-1]) for command in machine.commands] == [
        (["-m", "pytest"], "-x")
    ] * 2
    assert [row.split()[0] for row in table.strip().splitlines()] == ["SQLite", "PostgreSQL"]


def test_run_shares_the_tests_out_unless_told_otherwise_after(machine: Machine) -> None:
    run(testing.SQLITE)

    (command,) = machine.commands
    assert command.index("--numprocesses=auto") < command.index("-x")


def test_run_with_real_tools_runs_theirs_in_one_process(
    machine: Machine, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(interop, "missing_programs", lambda: "nothing is missing")

    code = testing.run(Path("/project"), Choice(testing.SQLITE, ["-x"], interop=True))

    (command,) = machine.commands
    assert code == 0
    assert command[3:] == ["-m", "interop", "-o", "testpaths=tests/interop", "-x"]
    assert capsys.readouterr().out.startswith("nothing is missing")


@pytest.mark.parametrize("codes", [[1, 0], [0, 1], [2, 0], [5, 0], [0, 2]])
def test_run_fails_when_one_database_does(machine: Machine, codes: list[int]) -> None:
    machine.codes = list(codes)

    assert run() == 1
    assert len(machine.urls) == 2


def test_run_on_the_second_database_leaves_out_what_needs_none(machine: Machine) -> None:
    run()

    first, second = machine.commands
    assert "--with-database-only" not in first
    assert "--with-database-only" in second


def test_run_on_a_database_asked_for_leaves_nothing_out(machine: Machine) -> None:
    run(testing.POSTGRES)

    assert "--with-database-only" not in machine.commands[0]


def test_run_of_tests_that_need_no_database_is_enough_once(
    machine: Machine, capsys: pytest.CaptureFixture[str]
) -> None:
    machine.codes = [0, 5]

    assert run() == 0
    assert "not run  no test of these needs a database" in capsys.readouterr().out


def test_run_stops_when_interrupted(machine: Machine, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_arguments: object, **_options: object) -> int:
        machine.urls.append("started")
        raise KeyboardInterrupt

    monkeypatch.setattr(testing, "run_to_its_end", interrupted)

    with pytest.raises(KeyboardInterrupt):
        run()

    assert machine.urls == ["started"]


def test_run_says_when_postgresql_is_absent(
    machine: Machine, capsys: pytest.CaptureFixture[str]
) -> None:
    machine.server = None

    code = run()

    assert code == 0
    assert "not run  no server programs of PostgreSQL 14 or newer" in capsys.readouterr().out


def test_run_fails_when_postgresql_was_asked_for_and_is_absent(machine: Machine) -> None:
    machine.server = None

    assert run(testing.POSTGRES) == 1
    assert machine.urls == []


def test_run_fails_when_the_server_does_not_start(
    machine: Machine, capsys: pytest.CaptureFixture[str]
) -> None:
    machine.starts = False

    code = run()

    printed = capsys.readouterr().out
    assert code == 1
    assert "initdb failed: no room" in printed
    assert "exit code 1, the server could not be started" in printed


@pytest.mark.parametrize(
    ("database", "urls"), [(testing.SQLITE, [None]), (testing.POSTGRES, [URL])]
)
def test_run_uses_only_the_database_asked_for(
    machine: Machine, database: str, urls: list[str | None]
) -> None:
    code = run(database)

    assert (code, machine.urls) == (0, urls)


def test_run_turns_a_request_to_end_into_an_orderly_exit(
    machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    stopped: list[str] = []

    @contextlib.contextmanager
    def cluster(_server: Server) -> Iterator[str]:
        try:
            yield URL
        finally:
            stopped.append("cluster")

    def asked_to_end(*_arguments: object, **_options: object) -> int:
        os.kill(os.getpid(), signal.SIGTERM)
        return 0

    monkeypatch.setattr(testing, "throw_away_cluster", cluster)
    monkeypatch.setattr(testing, "run_to_its_end", asked_to_end)
    before = signal.getsignal(signal.SIGTERM)

    with pytest.raises(SystemExit, match=str(128 + signal.SIGTERM)):
        run(testing.POSTGRES)

    assert stopped == ["cluster"]
    assert signal.getsignal(signal.SIGTERM) == before
    assert machine.urls == []


@pytest.mark.parametrize(
    ("outcome", "words"),
    [
        (PASSED, "SQLite passed exit code 0, 1.2 s"),
        (Outcome("PostgreSQL 15.8", 1, 2), "PostgreSQL 15.8 FAILED exit code 1, 2.0 s"),
        (
            Outcome("SQLite", 2, 3),
            "SQLite FAILED exit code 2, interrupted, or a test file is broken, 3.0 s",
        ),
        (Outcome("SQLite", 5, 0), "SQLite FAILED exit code 5, no test was found, 0.0 s"),
        (ABSENT, "PostgreSQL not run no server"),
    ],
)
def test_outcome_line(outcome: Outcome, words: str) -> None:
    assert " ".join(outcome.line.split()) == words


def test_verdict_is_a_failure_when_nothing_ran() -> None:
    assert testing.verdict([ABSENT], asked_for=testing.BOTH) == 1
    assert testing.verdict([PASSED, ABSENT], asked_for=testing.BOTH) == 0
