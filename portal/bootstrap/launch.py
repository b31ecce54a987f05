"""Choose the interpreter, then run the tests or hand over to Django."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from portal.bootstrap import locks, testing
from portal.bootstrap.console import BootstrapError, become, say, tidy_on_termination
from portal.bootstrap.environment import Environment
from portal.demo.dataset import ENVIRONMENT as DEMO_ENVIRONMENT

if TYPE_CHECKING:
    from pathlib import Path

# Apart, since the tools of the interop check bring plugins that every test run would load.
_FOLDERS = {locks.RUNTIME: ".venv", locks.TEST: ".venv", locks.INTEROP: ".venv-interop"}


def main(root: Path, argv: list[str]) -> int:
    """Run one manage.py command and return its exit code.

    Parameters
    ----------
    root
        The project folder.
    argv
        The words of the command line, with the program's name in front.
    """
    testing_wanted = argv[1:2] == ["test"]
    try:
        if not testing_wanted:
            ensure_packages(root, locks.RUNTIME, argv)
            return _django(argv)
        choice = testing.parse(argv[2:])
        ensure_packages(root, locks.INTEROP if choice.interop else locks.TEST, argv)
        return testing.run(root, choice)
    except BootstrapError as error:
        sys.stderr.write(f"{error}\n")
        return 1
    except KeyboardInterrupt:
        sys.stderr.write("\nStopped.\n")
        return 130


@tidy_on_termination()
def ensure_packages(root: Path, lock_name: str, argv: list[str]) -> None:
    """Return in a Python that has the packages, going on in the project's own where needed.

    An interpreter that has them all (one's own active environment, a container's, CI's) is used as
    it is.

    Raises
    ------
    BootstrapError
        There is no such interpreter and none can be made.
    """
    lock = locks.Lock(root / lock_name)
    own = Environment(root / _FOLDERS[lock_name])
    if own.is_running():
        own.provide(lock)
        return
    lacking = lock.lacking()
    if not lacking:
        _note_differences(lock)
        return
    _note_lacking(lacking)
    own.provide(lock)
    become([str(own.python), str(root / "manage.py"), *argv[1:]])


def _note_lacking(lacking: list[str]) -> None:
    # Only someone who activated an environment expects it to be used.
    if sys.prefix != sys.base_prefix:
        first = ", ".join(lacking[:3])
        say(f"The active environment {sys.prefix} lacks packages: {first} ...")


def _note_differences(lock: locks.Lock) -> None:
    differing = lock.differing()
    if differing:
        say(f"Note: this Python differs from {lock.name}: {', '.join(differing)}")


def _django(argv: list[str]) -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.settings")
    if argv[1:2] == ["demo"]:  # before settings are read: what the demo's data are called
        os.environ.update(DEMO_ENVIRONMENT | os.environ)
    from django.core.management import (  # noqa: PLC0415 -- installed only by now
        execute_from_command_line,
    )

    execute_from_command_line(argv)
    return 0
