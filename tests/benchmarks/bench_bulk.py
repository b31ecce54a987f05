"""Whole releases and summaries: speed against the server's own COPY, and growth of memory.

The other side of the streams is the server copying the same table to nowhere. Memory is the peak
of our serving process over what it held before, against a limit.
"""

from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path
from time import perf_counter

import psycopg

from tests.benchmarks.harness import MS, Bench, Figure, Server, interleaved

STREAMS = {"csv": 0.7, "parquet": 0.6}
LIMITS_MIB = {"csv": 16, "ndjson": 16, "parquet": 64}
WHOLE = "/api/v1/counts?limit=all&fields={fields}&f={form}"
SUMMARY = "/api/v1/summary?by=habitat"
PIECE_BYTES = 1 << 20
_COPY = "COPY portal_publishedcount ({columns}) TO '/dev/null' (FORMAT csv)"
_SUMMARY = """
    SELECT habitat, protocol, expellant, count(*), sum(animals), sum(area_m2) FROM (
        SELECT pit_id, habitat, protocol, expellant, area_m2, sum(number) AS animals
        FROM portal_publishedcount
        WHERE since_release <= 1 AND (until_release IS NULL OR until_release > 1) AND NOT hidden
        GROUP BY 1, 2, 3, 4, 5
    ) pits GROUP BY 1, 2, 3
"""


def measure(bench: Bench) -> Iterator[Figure]:
    """Yield every figure about big results."""
    with psycopg.connect(bench.large.url, autocommit=True) as connection:
        names = _columns(connection)
        for form, goal in STREAMS.items():
            yield _stream(bench.large, connection, names, form, goal)
        for form, limit_mib in LIMITS_MIB.items():
            yield _memory(bench.large, names, form, limit_mib)
        yield _summary(bench.large, connection)
    yield _summary_by_size(bench)


def _columns(connection: psycopg.Connection) -> list[str]:
    """Return the public columns; a query that leaves one out is not answered by a ready file."""
    from portal.records.fields import FIELDS  # noqa: PLC0415 -- Django is set up by now

    columns = connection.execute("SELECT * FROM portal_publishedcount LIMIT 0").description or ()
    stored = {column.name for column in columns}
    return [field.name for field in FIELDS["counts"] if field.name in stored - {"remarks"}]


def _stream(
    server: Server, connection: psycopg.Connection, names: list[str], form: str, goal: float
) -> Figure:
    copy = _COPY.format(columns=", ".join(f'"{name}"' for name in names)).encode()
    path = WHOLE.format(fields=",".join(names), form=form)
    times = interleaved(
        {"ours": lambda: _drain(server, path), "copy": lambda: connection.execute(copy)},
        rounds=3,
        warm_up=1,
    )
    what = f"whole release as {form}, rows per second"
    return Figure(
        what, "server's COPY to nowhere", times["ours"], times["copy"], goal, more_is_better=True
    )


def _memory(server: Server, names: list[str], form: str, limit_mib: int) -> Figure:
    server.get(f"/api/v1/counts?limit=1&f={form}")  # libraries are loaded by it
    process = Path(f"/proc/{server._process.pid}")
    process.joinpath("clear_refs").write_text("5", encoding="ascii")  # forget the peak (proc(5))
    before = _mib(process, "VmRSS")
    _drain(server, WHOLE.format(fields=",".join(names), form=form))
    grown = max(_mib(process, "VmHWM") - before, 0.0)
    return Figure(f"whole release as {form}, MiB more", "the limit, MiB", grown, limit_mib, 1)


def _mib(process: Path, name: str) -> float:
    lines = process.joinpath("status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) / 1024 for line in lines if line.startswith(f"{name}:"))


def _summary(server: Server, connection: psycopg.Connection) -> Figure:
    times = interleaved(
        {"ours": lambda: server.get(SUMMARY), "server": lambda: connection.execute(_SUMMARY)},
        rounds=3,
        warm_up=1,
    )
    what = "summary by habitat, all rows, times as fast"
    return Figure(
        what, "sums by parallel workers", times["ours"], times["server"], 100, more_is_better=True
    )


def _summary_by_size(bench: Bench) -> Figure:
    times = interleaved(
        {"ours": lambda: bench.large.get(SUMMARY), "small": lambda: bench.small.get(SUMMARY)},
        rounds=3,
        warm_up=1,
    )
    return Figure(
        "10 x the rows: summary by habitat", "a tenth", times["ours"], times["small"], 1.2
    )


def _drain(server: Server, path: str) -> float:
    """Read a body to its end and keep none of it; return how long it took [ms]."""
    start = perf_counter()
    connection = HTTPConnection("127.0.0.1", server._connection.port)
    connection.request("GET", path, headers={"X-Forwarded-For": "10.1.0.1"})
    answer = connection.getresponse()
    assert answer.status == 200, answer.read(PIECE_BYTES)
    while answer.read(PIECE_BYTES):
        pass
    connection.close()
    return (perf_counter() - start) * MS
