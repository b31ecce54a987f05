"""Pages of the open API: against the least that could be done, and against DRF out of the box."""

import json
from collections.abc import Iterator
from functools import partial
from urllib.parse import quote, urlsplit

import psycopg

from tests.benchmarks.harness import Bench, Figure, Server, interleaved
from tests.benchmarks.published_rows import LATE_TAXON, RARE_HABITAT

COUNTS = "/api/v1/counts?count=none"
ROUNDS, FEW_ROUNDS = 150, 7
FILTERS = {
    "no filter": "",
    "a common value": "&habitat=lawn",
    "a rare value": f"&habitat={quote(RARE_HABITAT)}",
    "a value late in the order": f"&taxon={quote(LATE_TAXON)}",
    "several values": f"&habitat={quote(RARE_HABITAT)},hedge",
    "a declared pair": f"&habitat={quote(RARE_HABITAT)}&group=anecic",
    "a pair not declared": "&texture=clay&moisture=wet",
    "three values": "&texture=clay&moisture=wet&season=spring",
    "nothing found": f"&habitat={quote(RARE_HABITAT)}&taxon={quote(LATE_TAXON)}",
    "two common values, never together": "&group=anecic&stage=juvenile",
    "a number that no row reaches": "&min_number=7",
    "days": "&sampled_from=2023-05-01&sampled_to=2023-05-31",
    "box of 1 degree": "&bbox=2,40,3,41",
    "box of 4 degrees": "&bbox=2,40,6,44",
    "box of 10 degrees": "&bbox=0,40,10,50",
    "box of 10 degrees, not on cells": "&bbox=0.25,40.13,10.25,50.13",
    "a box and a habitat": "&bbox=0,40,10,50&habitat=lawn",
    "an empty box": "&bbox=-60,-40,-50,-30",
    "a large empty box": "&bbox=-170,-80,-30,10",
}
TOTALS = {
    "total, no filter": "",
    "total, a common value": "&habitat=lawn",
    "total, a rare value": f"&habitat={quote(RARE_HABITAT)}",
    "total, a box of 4 degrees": "&bbox=2,40,6,44",
}


def measure(bench: Bench) -> Iterator[Figure]:
    """Yield every figure about pages."""
    for limit, floor in ((100, 2.5), (1000, 5.0)):
        yield _against_the_least(bench, limit)
        yield _against_keyset(bench, limit, floor)
    yield _against_offset(bench)
    yield from _depth(bench)
    for name, filters in FILTERS.items():
        yield _against_small(bench, f"10 x the rows: {name}", f"{COUNTS}{filters}")
    yield from map(partial(_total, bench), TOTALS)


def _against_the_least(bench: Bench, limit: int) -> Figure:
    """Compare with fetching documents that are ready, and answering as many bytes that are."""
    path = f"{COUNTS}&limit={limit}"
    size = len(bench.large.get(path))
    with psycopg.connect(bench.large.url) as connection:
        cursor = connection.cursor(binary=True)
        statement = (
            "SELECT document FROM portal_publishedcount WHERE since_release <= 1 AND NOT hidden "
            "AND (until_release IS NULL OR until_release > 1) "
            "ORDER BY sampled_first_on, id LIMIT %s"
        )
        times = interleaved(
            {
                "ours": lambda: bench.large.get(path),
                "fetch": lambda: cursor.execute(statement, [limit], prepare=True).fetchall(),
                "answer": lambda: bench.large.get(f"/static/{size}"),
            },
            rounds=ROUNDS,
        )
    least = times["fetch"] + times["answer"]
    return Figure(f"page of {limit}", "raw fetch + ready answer", times["ours"], least, 1.3)


def _against_keyset(bench: Bench, limit: int, goal: float) -> Figure:
    times = _pair(bench.large, f"{COUNTS}&limit={limit}", f"/plain/keyset?limit={limit}", 40)
    what, against = f"page of {limit}", "DRF, by key, .values()"
    return Figure(what, against, *times, goal, more_is_better=True)


def _against_offset(bench: Bench) -> Figure:
    times = _pair(bench.large, COUNTS, "/plain/offset", FEW_ROUNDS)
    return Figure("first page of 100", "DRF, offset, total", *times, 200, more_is_better=True)


def _depth(bench: Bench) -> Iterator[Figure]:
    first = bench.large.get(COUNTS)
    middle = "/api/v1/counts?count=none&sampled_from=2020-01-01"
    pages = {
        "middle page": _next(bench.large.get(middle)),
        "last page": _next(bench.large.get(f"{COUNTS}&sort=-sampled_on")),
        "second page": _next(first),
    }
    for name, path in pages.items():
        times = _pair(bench.large, path, COUNTS, ROUNDS)
        yield Figure(name, "first page", *times, 1.1)


def _next(body: bytes) -> str:
    parts = urlsplit(json.loads(body)["links"]["next"])
    return f"{parts.path}?{parts.query}"


def _against_small(bench: Bench, what: str, path: str) -> Figure:
    times = interleaved(
        {"large": lambda: bench.large.get(path), "small": lambda: bench.small.get(path)}, rounds=30
    )
    return Figure(what, f"{bench.small_rows:,} counts", times["large"], times["small"], 1.25)


def _total(bench: Bench, name: str) -> Figure:
    """Compare a page that tells how many match with one that does not: 5 ms more at most."""
    filters = TOTALS[name]
    times = _pair(bench.large, f"/api/v1/counts?limit=1{filters}", f"{COUNTS}&limit=1{filters}", 30)
    goal = 1 + 5 / times[1]
    return Figure(name, "the same without, 5 ms more", *times, round(goal, 2))


def _pair(server: Server, ours: str, other: str, rounds: int) -> tuple[float, float]:
    times = interleaved(
        {"ours": lambda: server.get(ours), "other": lambda: server.get(other)}, rounds=rounds
    )
    return times["ours"], times["other"]
