"""Benchmarks of open reading, by one command; both sides of each ratio interleaved in one run.

``python -m tests.benchmarks`` from the project's folder makes a throw-away PostgreSQL cluster,
fills it with 1,000,000 published counts and a tenth of that beside it, serves both, and prints each
ratio with its goal. ``--rows 10000000`` makes more (about 47 GB on disk), ``--only pages`` runs
one topic, ``--url postgresql://...`` keeps the databases of a server of yours for the next run.

A topic is a module ``bench_<topic>.py`` beside this one with ``measure(bench)``, which yields each
``Figure``, and is named in ``TOPICS`` of ``__main__.py``. It times both sides by ``interleaved``.
"""

import os
import platform
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from http.client import HTTPConnection
from itertools import count
from pathlib import Path
from statistics import median
from time import perf_counter

MS = 1000
_ROOT = Path(__file__).resolve().parents[2]
# Addresses that clients claim to come from, so that no one of them meets the limit of requests.
_REQUESTS_OF_AN_ADDRESS = 500


@dataclass(frozen=True)
class Figure:
    """One line of the result: what was measured, against what, and the goal for the ratio."""

    what: str
    against: str
    ours_ms: float
    other_ms: float
    goal: float
    more_is_better: bool = False

    @property
    def ratio(self) -> float:
        """Return ours over the other, or the other over ours where more is better."""
        if self.more_is_better:
            return self.other_ms / self.ours_ms
        return self.ours_ms / self.other_ms

    @property
    def is_met(self) -> bool:
        """Tell whether the goal is reached."""
        return self.ratio >= self.goal if self.more_is_better else self.ratio <= self.goal

    def __str__(self) -> str:
        sign = ">=" if self.more_is_better else "<="
        verdict = "met" if self.is_met else "MISSED"
        return (
            f"{self.what:<44.44} {self.ours_ms:>9.2f} {self.other_ms:>9.2f} {self.ratio:>8.2f} "
            f"{sign} {self.goal:<6g} {verdict:<7} {self.against}"
        )


class Server:
    """Our faces over one database, and the other sides, served by a process of its own."""

    def __init__(self, url: str) -> None:
        self.url = url
        self._numbers = count()
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.benchmarks.serving"],
            cwd=_ROOT,
            env=os.environ | {"DATABASE_URL": url, "DRILOSPHERE_PROXY_DEPTH": "1"},
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self._process.stdout is not None  # a pipe was asked for
        self._connection = HTTPConnection("127.0.0.1", int(self._process.stdout.readline()))

    def get(self, path: str) -> bytes:
        """Return the body at a path.

        Raises
        ------
        RuntimeError
            If it is not answered with 200.
        """
        address = f"10.0.{next(self._numbers) // _REQUESTS_OF_AN_ADDRESS}.1"
        self._connection.request("GET", path, headers={"X-Forwarded-For": address})
        answer = self._connection.getresponse()
        body = answer.read()
        if answer.status != 200:
            message = f"{path}: {answer.status} {body[:300]!r}"
            raise RuntimeError(message)
        return body

    def stop(self) -> None:
        """End the process."""
        self._connection.close()
        self._process.terminate()
        self._process.wait()


@dataclass(frozen=True)
class Bench:
    """A large and a small release, each in a database, served."""

    rows: int
    small_rows: int
    large: Server
    small: Server


def interleaved(
    tasks: Mapping[str, Callable[[], object]], *, rounds: int, warm_up: int = 6
) -> dict[str, float]:
    """Return the median time [ms] of each task, all run in turn in every round.

    The first rounds are not counted: connections are made and statements prepared in them.
    """
    times: dict[str, list[float]] = {name: [] for name in tasks}
    for number in range(rounds + warm_up):
        for name, task in tasks.items():
            start = perf_counter()
            task()
            if number >= warm_up:
                times[name].append((perf_counter() - start) * MS)
    return {name: median(found) for name, found in times.items()}


@contextmanager
def served(urls: tuple[str, str], rows: int) -> Iterator[Bench]:
    """Serve a large and a small release until the end."""
    servers: list[Server] = []
    try:
        servers += [Server(url) for url in urls]
        yield Bench(rows, rows // 10, *servers)
    finally:
        for server in servers:
            server.stop()


def machine() -> str:
    """Return what the figures were measured on."""
    model = "unknown processor"
    with Path("/proc/cpuinfo").open(encoding="utf-8") as lines:
        model = next((line.split(":")[1].strip() for line in lines if "model name" in line), model)
    memory_gib = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    load = os.getloadavg()[0]
    return (
        f"{os.cpu_count()} processors ({model}), {memory_gib:.0f} GiB, "
        f"Python {platform.python_version()}, load at the start {load:.1f}"
    )
