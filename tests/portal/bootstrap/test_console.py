"""Running other programs."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from portal.bootstrap import console

if TYPE_CHECKING:
    from pathlib import Path


def test_run_says_what_a_failing_program_means() -> None:
    command = [sys.executable, "-c", "raise SystemExit(3)"]

    with pytest.raises(console.BootstrapError, match=r"The packages are missing \(exit code 3"):
        console.run(command, failure="The packages are missing")


def test_run_accepts_a_program_that_ends_well() -> None:
    console.run([sys.executable, "-c", ""], failure="Python is broken")


def test_ask_returns_what_the_program_prints() -> None:
    assert console.ask([sys.executable, "-c", "print('a reply')"]) == "a reply"


@pytest.mark.parametrize(
    "command",
    [
        pytest.param(["no-program-has-this-name"], id="absent"),
        pytest.param([sys.executable, "-c", "raise SystemExit(1)"], id="failing"),
    ],
)
def test_ask_returns_nothing_for(command: list[str]) -> None:
    assert console.ask(command) is None


def test_run_to_its_end_gives_folder_and_variables_and_returns_the_code(tmp_path: Path) -> None:
    script = "import os, sys; sys.exit(7 if os.getcwd() == os.environ['WANTED'] else 1)"

    code = console.run_to_its_end(
        [sys.executable, "-c", script],
        folder=tmp_path,
        environ={"WANTED": str(tmp_path.resolve())},
    )

    assert code == 7


def test_run_to_its_end_lets_an_interrupted_program_finish(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    raise_while_waiting(monkeypatch, KeyboardInterrupt())
    script = "import time; time.sleep(0.3); open('finished', 'w').close()"

    with pytest.raises(KeyboardInterrupt):
        console.run_to_its_end([sys.executable, "-c", script], folder=tmp_path, environ={})

    assert (tmp_path / "finished").exists()


def test_run_to_its_end_ends_the_program_with_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    raise_while_waiting(monkeypatch, SystemExit(143))
    script = "import time; time.sleep(600)"

    # Popen's own end waits for the program: this returns only if the program was ended.
    with pytest.raises(SystemExit, match="143"):
        console.run_to_its_end([sys.executable, "-c", script], folder=tmp_path, environ={})


def test_become_replaces_this_process_where_the_system_can(monkeypatch: pytest.MonkeyPatch) -> None:
    replaced: list[tuple[str, list[str]]] = []
    monkeypatch.setattr(os, "execv", lambda program, command: replaced.append((program, command)))

    console.become(["/env/bin/python", "manage.py", "check"])

    assert replaced == [("/env/bin/python", ["/env/bin/python", "manage.py", "check"])]


def test_tidy_on_termination_leaves_an_ignored_signal_ignored() -> None:
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        with console.tidy_on_termination():
            during = signal.getsignal(signal.SIGHUP), signal.getsignal(signal.SIGTERM)
        after = signal.getsignal(signal.SIGHUP), signal.getsignal(signal.SIGTERM)
    finally:
        signal.signal(signal.SIGHUP, before)

    assert during[0] == after[0] == signal.SIG_IGN
    assert during[1] != after[1] == signal.SIG_DFL


def raise_while_waiting(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    wait = subprocess.Popen.wait
    errors = [error]

    def wait_or_raise(process: subprocess.Popen[bytes], timeout: float | None = None) -> int:
        if errors:
            raise errors.pop()
        return wait(process, timeout)

    monkeypatch.setattr(subprocess.Popen, "wait", wait_or_raise)
