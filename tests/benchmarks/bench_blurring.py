"""How long the blurring of a whole release takes on one processor; run by hand.

``python -m tests.benchmarks.bench_blurring [sites]`` from the project's folder. The other side
of the ratio, timed in the same run, is a single pass that snaps every site to its finest cell
and groups nothing.
"""

import random
import resource
import sys
import time
from collections.abc import Callable, Iterator
from typing import TypeVar

from portal.blurring import GeneralisationRules, PrivateSite, finest_level, generalise
from portal.blurring.grid import cell_at, latitude_e7, longitude_e7

Result = TypeVar("Result")

TOWNS = 2_000
KINDS = ["private_garden"] * 6 + ["allotment", "farm", "school_ground", "public_green"]
CONSENTS = ["standard"] * 4 + ["fine", "coarse"]
RULES = GeneralisationRules()


def made_up_sites(number: int) -> Iterator[PrivateSite]:
    """Make sites in towns on a lattice, the same ones at every run."""
    chance = random.Random(216)  # noqa: S311 -- invented data
    for count in range(number):
        row, column = divmod(count % TOWNS, 40)
        yield PrivateSite(
            key=f"site-{count:07d}",
            unit=f"unit-{count * 9 // 10:07d}",
            latitude=f"{50 + row / 10 + chance.gauss(0, 0.02):.7f}",
            longitude=f"{-3 + column / 10 + chance.gauss(0, 0.03):.7f}",
            place_kind=chance.choice(KINDS),
            consent_level=chance.choice(CONSENTS),
            uncertainty_m=chance.choice([5, 12, 60, None]),
        )


def snap_only(sites: list[PrivateSite]) -> dict[str, int]:
    """Snap every site to its finest cell."""
    return {
        site.key: cell_at(
            latitude_e7(site.latitude), longitude_e7(site.longitude), finest_level(site, RULES)
        )
        for site in sites
    }


def timed(task: Callable[[], Result]) -> tuple[float, Result]:
    """Return the processor time of a task [s], and its result."""
    start = time.process_time()
    result = task()
    return time.process_time() - start, result


def main(number: int) -> None:
    """Time a first and a second release and print them with the ratio to plain snapping."""
    sites = list(made_up_sites(number))
    snapping_s, _ = timed(lambda: snap_only(sites))
    first_s, first = timed(lambda: generalise(sites, {}, RULES))
    opened = first.opened
    del first
    second_s, _ = timed(lambda: generalise(sites, opened, RULES))
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    sys.stdout.write(
        f"sites               {number:>12,}\n"
        f"cells opened        {sum(map(len, opened.values())):>12,}\n"
        f"snapping only       {snapping_s:>12.1f} s\n"
        f"first release       {first_s:>12.1f} s  {first_s / snapping_s:.1f} x snapping\n"
        f"second release      {second_s:>12.1f} s  {second_s / snapping_s:.1f} x snapping\n"
        f"peak memory         {peak_mb:>12,.0f} MB, the sites included\n"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000)
