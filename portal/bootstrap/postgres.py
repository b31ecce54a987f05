"""A throw-away PostgreSQL cluster on a unix socket, for one test run."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from portal.bootstrap.console import BootstrapError, ask

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

OLDEST_MAJOR = 14  # Django 5.2, Databases, PostgreSQL notes: "PostgreSQL 14 and higher".
PROGRAMS = ("postgres", "initdb", "pg_ctl")
PORT = 5432  # Names the socket file only: nothing listens on the network.

# Not TMPDIR: the path of a socket has about 100 characters at most, and where we are root the
# server's user must be able to enter it.
PARENT = Path("/tmp")  # noqa: S108 -- a folder with a random name is made in it

# Where packagers put the server outside PATH (common practice, no source).
USUAL_FOLDERS = (
    "/usr/lib/postgresql/*/bin",
    "/usr/pgsql-*/bin",
    "/usr/local/pgsql/bin",
    "/opt/homebrew/opt/postgresql*/bin",
    "/usr/local/opt/postgresql*/bin",
    "/opt/local/lib/postgresql*/bin",
    "/Applications/Postgres.app/Contents/Versions/*/bin",
)

_CONFIGURATION = """
listen_addresses = ''
unix_socket_directories = '{folder}'
port = {port}
fsync = off
full_page_writes = off
synchronous_commit = off
"""


@dataclass(frozen=True)
class Server:
    """The server programs of one PostgreSQL version."""

    folder: Path
    version: tuple[int, ...]

    @property
    def name(self) -> str:
        """The name to show, such as PostgreSQL 15.8."""
        return f"PostgreSQL {'.'.join(map(str, self.version))}"


def find_server(
    environ: Mapping[str, str], *, usual: Iterable[str] = USUAL_FOLDERS
) -> Server | None:
    """Return the newest server on this machine that Django supports."""
    if os.name != "posix":
        return None
    complete = filter(_is_complete, dict.fromkeys(candidate_folders(environ, usual)))
    servers = [Server(folder, version) for folder in complete if (version := _version(folder))]
    usable = [server for server in servers if server.version[0] >= OLDEST_MAJOR]
    return max(usable, key=lambda server: server.version, default=None)


def candidate_folders(environ: Mapping[str, str], usual: Iterable[str]) -> Iterator[Path]:
    """Yield the folders that may hold the server programs, symbolic links resolved.

    A link on PATH often names `postgres` alone: its neighbours stand beside what it points to.
    """
    path = environ.get("PATH", os.defpath)
    for folder in filter(None, path.split(os.pathsep)):
        # One by one, as the newest may come late. It passes over folders it may not look into.
        if program := shutil.which("postgres", path=folder):
            yield Path(program).resolve().parent
    pg_config = shutil.which("pg_config", path=path)
    if pg_config and (told := ask([pg_config, "--bindir"])):
        yield Path(told).resolve()
    for pattern in usual:
        yield from (found.resolve() for found in Path("/").glob(pattern.lstrip("/")))


def parse_version(text: str) -> tuple[int, ...] | None:
    """Return (15, 8) for `postgres (PostgreSQL) 15.8 (...)`, (18,) for a beta of 18."""
    match = re.search(r"\(PostgreSQL\) (\d+)(?:\.(\d+))?", text)
    return tuple(int(part) for part in match.groups() if part) if match else None


@contextlib.contextmanager
def throw_away_cluster(server: Server, *, parent: Path = PARENT) -> Iterator[str]:
    """Run a new cluster and yield its database URL; stop and remove it whatever happens.

    Raises
    ------
    BootstrapError
        The cluster can't be made or started.
    """
    folder = Path(tempfile.mkdtemp(prefix="drilosphere-", dir=parent))
    try:
        cluster = _Cluster(server, folder, _owner())
        cluster.start()
        try:
            yield database_url(folder)
        finally:
            cluster.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def database_url(folder: Path) -> str:
    """Return the URL of the cluster whose socket is in the folder."""
    return f"postgresql://postgres@{quote(str(folder), safe='')}:{PORT}/postgres"


@dataclass(frozen=True)
class _Cluster:
    server: Server
    folder: Path
    owner: str | None  # None: the user who runs this

    @property
    def _data(self) -> Path:
        return self.folder / "data"

    def start(self) -> None:
        if self.owner:
            shutil.chown(self.folder, self.owner)
        self._call(
            *("initdb", "--pgdata", str(self._data), "--username", "postgres", "--auth", "trust"),
            *("--encoding", "UTF8", "--locale", "C", "--no-sync"),
        )
        with (self._data / "postgresql.conf").open("a", encoding="utf-8") as file:
            file.write(_CONFIGURATION.format(folder=self.folder, port=PORT))
        try:
            self._call(
                "pg_ctl", "start", "-w", "-D", str(self._data), "-l", str(self.folder / "log")
            )
        except BaseException:
            self.stop()
            raise

    def stop(self) -> None:
        # "Immediate" skips the clean-up of data that are thrown away next.
        with contextlib.suppress(BootstrapError):
            self._call("pg_ctl", "stop", "-w", "-m", "immediate", "-D", str(self._data))

    def _call(self, program: str, *arguments: str) -> None:
        output = self.folder / f"{program}.out"
        try:
            code = self._exit_code([str(self.server.folder / program), *arguments], output)
        except OSError as error:
            user = self.owner or "this user"
            message = f"{self.server.name}: {program} can't be run as {user}: {error}"
            raise BootstrapError(message) from error
        if code:
            message = f"{self.server.name}: {program} failed.\n{self._written(output)}"
            raise BootstrapError(message)

    def _exit_code(self, command: list[str], output: Path) -> int:
        # A session of its own: Ctrl-C must end the tests first, and the server only after them.
        # Output goes to a file, for the server inherits it and a pipe would never end.
        with output.open("w", encoding="utf-8") as file:
            return subprocess.run(  # noqa: S603 -- a list, no shell
                command,
                cwd=self.folder,
                env={"PATH": os.defpath, "LC_ALL": "C"},
                stdin=subprocess.DEVNULL,
                stdout=file,
                stderr=subprocess.STDOUT,
                user=self.owner,
                group=_group_of(self.owner),
                extra_groups=[] if self.owner else None,
                start_new_session=True,
                check=False,
            ).returncode

    def _written(self, output: Path) -> str:
        paths = filter(Path.exists, (output, self.folder / "log"))
        texts = (path.read_text(encoding="utf-8", errors="replace") for path in paths)
        return "\n".join(text.strip() for text in texts)


def _owner() -> str | None:
    """Return whom the server runs as, None for ourselves: it refuses to run as root.

    Raises
    ------
    BootstrapError
        We are root, and there is no user to run it as.
    """
    if os.geteuid() != 0:
        return None
    import pwd  # noqa: PLC0415 -- not on Windows

    for name in ("postgres", "nobody"):
        with contextlib.suppress(KeyError):
            return pwd.getpwnam(name).pw_name
    message = "PostgreSQL refuses to run as root, and there is no user `postgres` or `nobody`."
    raise BootstrapError(message)


def _group_of(owner: str | None) -> int | None:
    if owner is None:
        return None
    import pwd  # noqa: PLC0415 -- not on Windows

    return pwd.getpwnam(owner).pw_gid


def _is_complete(folder: Path) -> bool:
    return all(os.access(folder / name, os.X_OK) for name in PROGRAMS)


def _version(folder: Path) -> tuple[int, ...] | None:
    return parse_version(ask([str(folder / "postgres"), "--version"]) or "")
