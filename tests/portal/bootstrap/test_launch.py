"""Choosing the interpreter and handing over."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core import management

from portal.bootstrap import launch, locks, testing
from portal.bootstrap.environment import MARKER, Environment
from portal.demo.dataset import ENVIRONMENT as DEMO_ENVIRONMENT

ROOT = Path(__file__).resolve().parents[3]
ABSENT = "no-distribution-has-this-name==1.0\n"
PRESENT = "pytest==1.0\n"


class Steps:
    """Stands where the environment is made and where this process becomes another one."""

    def __init__(self) -> None:
        self.provided: list[tuple[Path, str]] = []
        self.became: list[list[str]] = []

    def become(self, command: list[str]) -> None:
        self.became.append(command)


@pytest.fixture
def steps(monkeypatch: pytest.MonkeyPatch) -> Steps:
    steps = Steps()

    def provide(own: Environment, lock: locks.Lock) -> None:
        steps.provided.append((own.folder, lock.name))

    monkeypatch.setattr(Environment, "provide", provide)
    monkeypatch.setattr(launch, "become", steps.become)
    return steps


def write_locks(root: Path, text: str) -> None:
    for name in locks.INCLUDED:
        (root / name).write_text(text, encoding="utf-8")


def test_python_with_the_packages_is_used_as_it_is(
    tmp_path: Path, steps: Steps, capsys: pytest.CaptureFixture[str]
) -> None:
    write_locks(tmp_path, PRESENT)

    launch.ensure_packages(tmp_path, locks.RUNTIME, ["manage.py", "check"])

    assert (steps.provided, steps.became) == ([], [])
    assert "instead of 1.0" in capsys.readouterr().out


def test_python_without_the_packages_goes_on_in_the_project_s_own(
    tmp_path: Path, steps: Steps
) -> None:
    write_locks(tmp_path, ABSENT)

    launch.ensure_packages(tmp_path, locks.TEST, ["elsewhere/manage.py", "test", "-x"])

    own = Environment(tmp_path / ".venv")
    assert steps.provided == [(own.folder, locks.TEST)]
    assert steps.became == [[str(own.python), str(tmp_path / "manage.py"), "test", "-x"]]


def test_real_tools_have_an_environment_of_their_own(tmp_path: Path, steps: Steps) -> None:
    write_locks(tmp_path, ABSENT)

    launch.ensure_packages(tmp_path, locks.INTEROP, ["manage.py", "test", "--interop"])

    assert steps.provided == [(tmp_path / ".venv-interop", locks.INTEROP)]


def test_active_environment_that_lacks_packages_is_named(
    tmp_path: Path,
    steps: Steps,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    write_locks(tmp_path, ABSENT)
    monkeypatch.setattr(sys, "prefix", "/home/someone/other")

    launch.ensure_packages(tmp_path, locks.RUNTIME, ["manage.py", "check"])

    assert len(steps.became) == 1
    assert "/home/someone/other lacks packages: no-dist" in capsys.readouterr().out


def test_own_environment_is_brought_up_to_date_without_starting_again(
    tmp_path: Path, steps: Steps, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_locks(tmp_path, ABSENT)
    own = Environment(tmp_path / ".venv")
    own.folder.mkdir()
    (own.folder / MARKER).write_text("{}", encoding="utf-8")
    monkeypatch.setattr(sys, "prefix", str(own.folder))

    launch.ensure_packages(tmp_path, locks.RUNTIME, ["manage.py", "check"])

    assert steps.provided == [(own.folder, locks.RUNTIME)]
    assert steps.became == []


def test_main_shows_a_refusal_as_text(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_locks(tmp_path, ABSENT)
    (tmp_path / ".venv" / "lib").mkdir(parents=True)

    code = launch.main(tmp_path, ["manage.py", "check"])

    assert code == 1
    assert "wasn't made by this command" in capsys.readouterr().err


@pytest.mark.parametrize(("option", "lock"), [([], locks.TEST), (["--interop"], locks.INTEROP)])
def test_main_test_takes_the_packages_it_needs_and_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, option: list[str], lock: str
) -> None:
    asked: list[object] = []

    def run(root: Path, choice: testing.Choice) -> int:
        asked.append((root, choice))
        return 5

    monkeypatch.setattr(launch, "ensure_packages", lambda *arguments: asked.append(arguments))
    monkeypatch.setattr(testing, "run", run)
    argv = ["manage.py", "test", "--db", "sqlite", *option, "-x"]

    code = launch.main(tmp_path, argv)

    assert code == 5
    assert asked == [
        (tmp_path, lock, argv),
        (tmp_path, testing.Choice("sqlite", ["-x"], interop=bool(option))),
    ]


def test_main_hands_other_commands_to_django(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(launch, "ensure_packages", lambda *_arguments: None)

    code = launch.main(ROOT, ["manage.py", "version"])

    assert code == 0
    assert capsys.readouterr().out.startswith("5.2")


def test_main_names_the_demo_s_data_unless_the_user_did(monkeypatch: pytest.MonkeyPatch) -> None:
    variables = {"DRILOSPHERE_REGION": "My own"}
    handed_over: list[list[str]] = []
    monkeypatch.setattr(launch, "ensure_packages", lambda *_arguments: None)
    monkeypatch.setattr(os, "environ", variables)
    monkeypatch.setattr(management, "execute_from_command_line", handed_over.append)

    launch.main(ROOT, ["manage.py", "demo"])

    assert handed_over == [["manage.py", "demo"]]
    assert variables["DRILOSPHERE_REGION"] == "My own"
    assert variables["DRILOSPHERE_NOTICE"] == DEMO_ENVIRONMENT["DRILOSPHERE_NOTICE"]


def test_main_ends_quietly_when_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(*_arguments: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(launch, "ensure_packages", stopped)

    code = launch.main(tmp_path, ["manage.py", "check"])

    assert code == 130  # common practice in shells: 128 and the number of the signal
    assert capsys.readouterr().err.strip() == "Stopped."


def test_bootstrap_imports_neither_django_nor_any_package() -> None:
    # -I -S: a Python without site-packages, as on a bare machine.
    script = f"import sys; sys.path.insert(0, {str(ROOT)!r}); import portal.bootstrap.launch"

    ended = subprocess.run(  # noqa: S603 -- a list, no shell
        [sys.executable, "-I", "-S", "-c", script], capture_output=True, text=True, check=False
    )

    assert (ended.returncode, ended.stderr) == (0, "")
