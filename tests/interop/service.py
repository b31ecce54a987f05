"""A server of its own with the small demonstration in it, asked by HTTP alone.

The server is Django's `runserver` in another process: the threaded server of the standard library's
`wsgiref` family, on a free port of 127.0.0.1.
"""

import contextlib
import json
import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from urllib.error import HTTPError, URLError
from urllib.request import Request, urlopen
from uuid import uuid4

import psycopg
import pytest

from portal.bootstrap.interop import PROGRAMS

ROOT = Path(__file__).resolve().parents[2]
RELEASE = 2
START_S = 60


@dataclass(frozen=True)
class Service:
    """A running server, and who may talk to it."""

    base: str
    environ: dict[str, str]
    folder: Path

    def manage(self, *words: str) -> str:
        """Run a command of manage.py on the server's database and return what it prints."""
        command = [sys.executable, str(ROOT / "manage.py"), *words]
        ended = subprocess.run(  # noqa: S603 -- a list, no shell
            command, cwd=ROOT, env=self.environ, capture_output=True, text=True, check=False
        )
        assert ended.returncode == 0, ended.stdout + ended.stderr
        return ended.stdout

    def token(self, *holder: str, scopes: tuple[str, ...]) -> str:
        """Return the secret of a fresh token."""
        return self.manage("issuetoken", *holder, "--scopes", *scopes).split()[-1]

    def json(self, path: str, token: str = "", body: Any = None) -> Any:
        """Return a JSON answer that must be a good one; a body is posted."""
        with urlopen(_request(self.base + path, token, body), timeout=60) as answer:  # noqa: S310 -- ours
            return json.load(answer)

    def rows(self, path: str) -> list[dict[str, Any]]:
        """Return the rows of all pages of a collection, as JSON has them."""
        rows: list[dict[str, Any]] = []
        page: dict[str, Any] = self.json(path)
        rows += page["data"]
        while page["links"]["next"]:
            page = self.json(page["links"]["next"].removeprefix(self.base))
            rows += page["data"]
        return rows

    def file(self, name: str) -> str:
        """Return the address of a file of the release that the tests read."""
        files = self.json(f"/api/v1/releases/{RELEASE}")["files"]
        return next(str(file["href"]) for file in files if file["name"] == name)

    def download(self, address: str) -> bytes:
        """Return all bytes of an address."""
        with urlopen(address, timeout=60) as answer:  # noqa: S310 -- ours
            return bytes(answer.read())


def program(name: str) -> str:
    """Return where a program of the system is; without it the test is skipped, saying why."""
    path = shutil.which(name)
    if path is None:
        pytest.skip(f"{name} is missing: apt-get install {PROGRAMS[name]}")
    return path


@contextlib.contextmanager
def serving(folder: Path, **settings: str) -> Iterator[Service]:
    """Seed the small demonstration into a fresh database and serve it until the end."""
    port = _free_port()
    with _database(folder) as url:
        environ = os.environ | {
            "DATABASE_URL": url,
            "DRILOSPHERE_FILES_DIR": str(folder / "files"),
            "DRILOSPHERE_PRIVATE_DIR": str(folder / "private"),
            "DRILOSPHERE_PUBLIC_URL": f"http://127.0.0.1:{port}",
            **settings,
        }
        service = Service(environ["DRILOSPHERE_PUBLIC_URL"], environ, folder)
        service.manage("demo", "--size", "small", "--no-serve")
        with _running(service, port):
            yield service


@contextlib.contextmanager
def serving_again(service: Service, **settings: str) -> Iterator[Service]:
    """Serve the same data by a second process with other settings."""
    port = _free_port()
    base = f"http://127.0.0.1:{port}"
    other = replace(
        service,
        base=base,
        environ=service.environ | {"DRILOSPHERE_PUBLIC_URL": base, **settings},
    )
    with _running(other, port):
        yield other


@contextlib.contextmanager
def _running(service: Service, port: int) -> Iterator[None]:
    command = [sys.executable, str(ROOT / "manage.py"), "runserver", "--noreload"]
    log = service.folder / f"server-{port}.log"
    with (
        log.open("wb") as written,
        subprocess.Popen(  # noqa: S603 -- a list, no shell
            [*command, f"127.0.0.1:{port}"],
            cwd=ROOT,
            env=service.environ,
            stdout=written,
            stderr=subprocess.STDOUT,
        ) as process,
    ):
        try:
            _wait_for(service, process, log)
            yield
        finally:
            process.terminate()


def _wait_for(service: Service, process: subprocess.Popen[bytes], log: Path) -> None:
    until = time.monotonic() + START_S
    while time.monotonic() < until and process.poll() is None:
        with contextlib.suppress(HTTPError, URLError):
            service.json("/api/v1/status")
            return
        time.sleep(0.2)
    pytest.fail(f"The server did not start:\n{log.read_text()}")


@contextlib.contextmanager
def _database(folder: Path) -> Iterator[str]:
    given = os.environ.get("DATABASE_URL")
    if given is None:
        yield f"sqlite:///{folder / 'interop.sqlite3'}"
        return
    name = f"interop_{uuid4().hex}"
    with psycopg.connect(given, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
        try:
            yield _with_name(given, name)
        finally:
            connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def _with_name(url: str, name: str) -> str:
    address, _, options = url.partition("?")
    address = f"{address.rpartition('/')[0]}/{name}"
    return f"{address}?{options}" if options else address


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def _request(address: str, token: str, body: Any) -> Request:
    headers = {"Authorization": f"Bearer {token}"} if token else {}
    if body is None:
        return Request(address, headers=headers)  # noqa: S310 -- ours
    headers |= {"Content-Type": "application/json"}
    return Request(address, json.dumps(body).encode(), headers)  # noqa: S310 -- ours
