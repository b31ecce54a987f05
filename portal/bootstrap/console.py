"""What the bootstrap says, and how it runs other programs."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path
    from types import FrameType


class BootstrapError(Exception):
    """The command can't go on; the text says why and what to do."""


def say(text: str = "") -> None:
    """Write one line at once, so that it stands before the output of what follows."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def run(command: list[str], *, failure: str) -> None:
    """Run a program whose output the user sees.

    Raises
    ------
    BootstrapError
        The program ended with an error; `failure` says what that means.
    """
    code = subprocess.run(command, check=False).returncode  # noqa: S603 -- a list, no shell
    if code:
        message = f"{failure} (exit code {code} of: {' '.join(command)})"
        raise BootstrapError(message)


def ask(command: list[str]) -> str | None:
    """Return what a program prints, or None where it's missing or fails."""
    try:
        answer = subprocess.run(  # noqa: S603 -- a list, no shell
            command, capture_output=True, text=True, check=True, timeout=60
        )
    except (OSError, subprocess.SubprocessError):
        return None
    return answer.stdout.strip()


def run_to_its_end(command: list[str], *, folder: Path, environ: Mapping[str, str]) -> int:
    """Run a program and return its exit code.

    Raises
    ------
    KeyboardInterrupt
        Ctrl-C was pressed. It reached the program as well, which was left to finish tidily.
    """
    with subprocess.Popen(command, cwd=folder, env=environ) as process:  # noqa: S603 -- a list, no shell
        try:
            return process.wait()
        except KeyboardInterrupt:
            process.wait()
            raise
        except BaseException:
            process.terminate()
            raise


def become(command: list[str]) -> None:
    """Go on as another program, with this one's terminal, folder and exit code."""
    if os.name == "posix":
        os.execv(command[0], command)  # noqa: S606 -- no shell is wanted
    else:
        sys.exit(subprocess.run(command, check=False).returncode)  # noqa: S603 -- a list, no shell


@contextlib.contextmanager
def tidy_on_termination() -> Iterator[None]:
    """Turn a request to end into an exception, so that what was started is stopped too."""
    names = ("SIGTERM", "SIGHUP")
    known = [getattr(signal, name) for name in names if hasattr(signal, name)]
    # One that is ignored stays so, as under nohup.
    ours = [number for number in known if signal.getsignal(number) == signal.SIG_DFL]
    for number in ours:
        signal.signal(number, _leave)
    try:
        yield
    finally:
        for number in ours:
            signal.signal(number, signal.SIG_DFL)


def _leave(number: int, _frame: FrameType | None) -> None:
    sys.exit(128 + number)
