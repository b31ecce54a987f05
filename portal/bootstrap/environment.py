"""The project's own Python environment: made once, marked as ours, kept up to its lock file."""

from __future__ import annotations

import contextlib
import importlib.util
import json
import os
import shutil
import sys
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from portal.bootstrap.console import BootstrapError, ask, run, say

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from portal.bootstrap.locks import Lock

MARKER = "made-by-drilosphere.json"

_NO_PIP = """\
This Python ({python}) can't make an environment with pip in it:
it has neither `ensurepip` nor `pip`.
On Debian and Ubuntu one package brings what is missing:

    apt install python{version}-venv

Then run the same command again."""

_FOREIGN = """\
{folder} exists but wasn't made by this command, so it is left as it is. Either
  - activate it after installing the packages in it yourself:
    python -m pip install --require-hashes -r {lock}
  - or move it away and run the same command again."""


@dataclass(frozen=True)
class Environment:
    """A virtual environment in a folder; touched only if it's absent or carries our marker."""

    folder: Path

    @property
    def python(self) -> Path:
        """The environment's interpreter."""
        return self.folder.joinpath(
            *(("Scripts", "python.exe") if os.name == "nt" else ("bin", "python"))
        )

    def is_running(self) -> bool:
        """Say whether this very process runs in the environment, and the environment is ours."""
        same = os.path.realpath(sys.prefix) == os.path.realpath(self.folder)
        return same and self._marker() is not None

    def holds(self, lock: Lock) -> bool:
        """Say whether the lock file, as it is now, was installed."""
        installed = self._installed()
        return all(installed.get(name) == digest for name, digest in lock.digests().items())

    def provide(self, lock: Lock) -> None:
        """Make the environment if it's absent, and install the lock file if it changed.

        Raises
        ------
        BootstrapError
            The folder is someone else's, or a step failed.
        """
        if self.holds(lock) and self.python.exists():
            return
        try:
            self._claim(lock)
            with _alone(self.folder / MARKER):
                self._bring_up_to(lock)
        except OSError as error:
            message = f"{self.folder} can't be made or changed: {error}"
            raise BootstrapError(message) from error

    def _bring_up_to(self, lock: Lock) -> None:
        # Another command may have done the work while this one waited.
        if not self._runs():
            self._build()
        if not self.holds(lock):
            self._install(lock)

    def _claim(self, lock: Lock) -> None:
        # The marker comes first: an interrupted start must not look like someone else's folder.
        if self.folder.exists() and any(self.folder.iterdir()):
            if self._marker() is None:
                raise BootstrapError(_FOREIGN.format(folder=self.folder, lock=lock.path))
            return
        self.folder.mkdir(exist_ok=True)
        self._remember({})

    def _runs(self) -> bool:
        return self.python.exists() and ask([str(self.python), "-c", "print('yes')"]) == "yes"

    def _build(self) -> None:
        if not importlib.util.find_spec("venv") or not (has_ensurepip() or has_pip()):
            version = f"{sys.version_info.major}.{sys.version_info.minor}"
            raise BootstrapError(_NO_PIP.format(python=sys.executable, version=version))
        say(f"Making a Python environment in {self.folder}")
        for leftover in self.folder.iterdir():
            if leftover.name != MARKER:
                _remove(leftover)
        self._remember({})
        without = [] if has_ensurepip() else ["--without-pip"]
        run(
            [sys.executable, "-m", "venv", *without, str(self.folder)],
            failure="The environment could not be made",
        )

    def _install(self, lock: Lock) -> None:
        where = self.folder.name
        say(f"Installing the packages of {lock.name} in {where} (may take a minute or two)")
        started = time.monotonic()
        # What was installed before may be replaced halfway: it counts again only after success.
        self._remember({})
        run(
            [*self._pip(), "install", "-qq", "--require-hashes", "-r", str(lock.path)],
            failure=f"The packages of {lock.name} could not be installed",
        )
        self._remember(lock.digests())
        say(f"Installed in {time.monotonic() - started:.0f} s")

    def _pip(self) -> list[str]:
        own = ask([str(self.python), "-c", "import pip; print(pip.__version__)"])
        if own:
            return [str(self.python), "-m", "pip", "--disable-pip-version-check"]
        # Debian's Python without its venv package: its own pip can install into our folder.
        return [
            *(sys.executable, "-m", "pip", "--disable-pip-version-check"),
            *("--python", str(self.python)),
        ]

    def _marker(self) -> dict[str, object] | None:
        try:
            marker = json.loads((self.folder / MARKER).read_text(encoding="utf-8"))
        except (FileNotFoundError, NotADirectoryError):
            return None
        except ValueError:
            return {}
        return marker if isinstance(marker, dict) else {}

    def _installed(self) -> dict[str, object]:
        installed = (self._marker() or {}).get("installed")
        return installed if isinstance(installed, dict) else {}

    def _remember(self, installed: dict[str, str]) -> None:
        text = json.dumps({"installed": installed}, indent=2) + "\n"
        (self.folder / MARKER).write_text(text, encoding="utf-8")


def has_ensurepip() -> bool:
    """Say whether this Python can put pip into a new environment."""
    return importlib.util.find_spec("ensurepip") is not None


def has_pip() -> bool:
    """Say whether this Python has a pip of its own."""
    return importlib.util.find_spec("pip") is not None


def _remove(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink()


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Let one process at a time change the environment, where the system has such locks."""
    if sys.platform == "win32":
        yield
        return
    import fcntl  # noqa: PLC0415 -- not on Windows

    with path.open("rb") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("Waiting for another command that is making the environment")
            fcntl.flock(file, fcntl.LOCK_EX)
        yield
