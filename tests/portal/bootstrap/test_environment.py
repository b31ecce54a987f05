"""The project's own environment: whose folder it is, what is in it, how it's made."""

from __future__ import annotations

import fcntl
import json
import sys
import threading
from typing import TYPE_CHECKING

import pytest

from portal.bootstrap import environment, locks
from portal.bootstrap.console import BootstrapError
from portal.bootstrap.environment import MARKER, Environment

if TYPE_CHECKING:
    from pathlib import Path


class Commands:
    """Stands where programs are started: notes each, and plays what `venv` leaves behind."""

    def __init__(self, own: Environment) -> None:
        self.own = own
        self.started: list[list[str]] = []
        self.fail_on = "nothing"

    def run(self, command: list[str], *, failure: str) -> None:
        self.started.append(command)
        if self.fail_on in command:
            raise BootstrapError(failure)
        if "venv" in command:
            self.own.python.parent.mkdir(parents=True, exist_ok=True)
            self.own.python.touch()

    def ask(self, command: list[str]) -> str | None:
        return "yes" if command[0] == str(self.own.python) else None


@pytest.fixture
def lock(tmp_path: Path) -> locks.Lock:
    for name in locks.INCLUDED:
        (tmp_path / name).write_text("a==1\n", encoding="utf-8")
    return locks.Lock(tmp_path / locks.RUNTIME)


@pytest.fixture
def own(tmp_path: Path) -> Environment:
    return Environment(tmp_path / ".venv")


@pytest.fixture
def commands(own: Environment, monkeypatch: pytest.MonkeyPatch) -> Commands:
    commands = Commands(own)
    monkeypatch.setattr(environment, "run", commands.run)
    monkeypatch.setattr(environment, "ask", commands.ask)
    return commands


def test_provide_makes_marks_and_fills_an_absent_environment(
    own: Environment, lock: locks.Lock, commands: Commands
) -> None:
    own.provide(lock)

    make, install = commands.started
    assert make == [sys.executable, "-m", "venv", str(own.folder)]
    assert install[0] == str(own.python)
    assert install[-3:] == ["--require-hashes", "-r", str(lock.path)]
    marker = json.loads((own.folder / MARKER).read_text(encoding="utf-8"))
    assert marker == {"installed": lock.digests()}


def test_provide_starts_nothing_the_second_time(
    own: Environment, lock: locks.Lock, commands: Commands
) -> None:
    own.provide(lock)
    commands.started.clear()

    own.provide(lock)

    assert commands.started == []


def test_provide_installs_again_when_the_lock_file_changed(
    own: Environment, lock: locks.Lock, commands: Commands
) -> None:
    own.provide(lock)
    commands.started.clear()
    lock.path.write_text("a==2\n", encoding="utf-8")

    own.provide(lock)

    assert [command[-1] for command in commands.started] == [str(lock.path)]
    assert own.holds(lock)


def test_environment_with_the_test_packages_holds_the_runtime_ones(
    own: Environment, lock: locks.Lock, commands: Commands
) -> None:
    own.provide(locks.Lock(lock.path.with_name(locks.TEST)))

    assert len(commands.started) == 2
    assert own.holds(lock)


def test_environment_with_the_runtime_packages_does_not_hold_the_test_ones(
    own: Environment, lock: locks.Lock, commands: Commands
) -> None:
    own.provide(lock)

    assert len(commands.started) == 2
    assert not own.holds(locks.Lock(lock.path.with_name(locks.TEST)))


def test_provide_refuses_a_folder_it_did_not_make(
    own: Environment, lock: locks.Lock, commands: Commands
) -> None:
    own.folder.mkdir()
    (own.folder / "pyvenv.cfg").write_text("home = /usr/bin\n", encoding="utf-8")

    with pytest.raises(BootstrapError, match="wasn't made by this command"):
        own.provide(lock)

    assert commands.started == []
    assert [path.name for path in own.folder.iterdir()] == ["pyvenv.cfg"]


def test_provide_says_when_the_place_is_taken_by_a_file(
    own: Environment, lock: locks.Lock, commands: Commands
) -> None:
    own.folder.write_text("not a folder", encoding="utf-8")

    with pytest.raises(BootstrapError, match="can't be made or changed"):
        own.provide(lock)

    assert commands.started == []


def test_failed_install_is_taken_up_again_without_making_anew(
    own: Environment, lock: locks.Lock, commands: Commands
) -> None:
    commands.fail_on = "install"
    with pytest.raises(BootstrapError, match=r"packages of requirements\.lock could not be"):
        own.provide(lock)
    commands.started.clear()
    commands.fail_on = "nothing"

    own.provide(lock)

    assert ["install" in command for command in commands.started] == [True]


def test_interrupted_making_starts_afresh(
    own: Environment, lock: locks.Lock, commands: Commands
) -> None:
    commands.fail_on = "venv"
    with pytest.raises(BootstrapError, match="could not be made"):
        own.provide(lock)
    half_made = own.folder / "lib" / "half-made"
    half_made.mkdir(parents=True)
    commands.fail_on = "nothing"

    own.provide(lock)

    assert own.holds(lock)
    assert not half_made.exists()


def test_unreadable_marker_is_ours_and_makes_the_packages_be_installed_again(
    own: Environment, lock: locks.Lock, commands: Commands
) -> None:
    own.provide(lock)
    (own.folder / MARKER).write_text("{", encoding="utf-8")
    commands.started.clear()

    own.provide(lock)

    assert ["install" in command for command in commands.started] == [True]


def test_python_without_ensurepip_installs_with_its_own_pip(
    own: Environment,
    lock: locks.Lock,
    commands: Commands,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(environment, "has_ensurepip", lambda: False)
    monkeypatch.setattr(environment, "has_pip", lambda: True)
    monkeypatch.setattr(
        environment, "ask", lambda command: None if "import pip" in command[-1] else "yes"
    )

    own.provide(lock)

    make, install = commands.started
    assert "--without-pip" in make
    assert install[0] == sys.executable
    assert install[install.index("--python") + 1] == str(own.python)


def test_python_without_ensurepip_and_pip_names_the_debian_package(
    own: Environment,
    lock: locks.Lock,
    commands: Commands,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(environment, "has_ensurepip", lambda: False)
    monkeypatch.setattr(environment, "has_pip", lambda: False)

    with pytest.raises(BootstrapError, match=r"apt install python3\.\d+-venv"):
        own.provide(lock)

    assert commands.started == []


def test_provide_waits_for_another_command_that_does_the_same(
    own: Environment,
    lock: locks.Lock,
    commands: Commands,
    capsys: pytest.CaptureFixture[str],
) -> None:
    own.provide(lock)
    lock.path.write_text("a==2\n", encoding="utf-8")
    commands.started.clear()
    with (own.folder / MARKER).open("rb") as held_by_the_other:
        fcntl.flock(held_by_the_other, fcntl.LOCK_EX)

        def finish() -> None:
            (own.folder / MARKER).write_text(json.dumps({"installed": lock.digests()}))
            fcntl.flock(held_by_the_other, fcntl.LOCK_UN)

        other = threading.Timer(0.3, finish)
        other.start()
        own.provide(lock)
        other.join()

    assert "Waiting for another command" in capsys.readouterr().out
    assert commands.started == []


def test_is_running_only_in_the_marked_folder_of_this_interpreter(
    own: Environment, lock: locks.Lock, commands: Commands, monkeypatch: pytest.MonkeyPatch
) -> None:
    own.provide(lock)
    before = own.is_running()

    monkeypatch.setattr(sys, "prefix", str(own.folder))

    assert (before, own.is_running()) == (False, True)
    assert len(commands.started) == 2


def test_is_running_is_false_in_an_environment_of_someone_else(
    own: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    own.folder.mkdir()
    monkeypatch.setattr(sys, "prefix", str(own.folder))

    assert not own.is_running()
