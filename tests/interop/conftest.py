"""Servers for the real tools, and the rules of this folder.

`service` and `practice` are servers in a process of their own with the small demonstration in them;
`served` is a server in this process with what has tripped clients before.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from pytest_django import Settings
from pytest_django.live_server_helper import LiveServer

from tests.factories.published import (
    PublishedVisitFactory,
    SmallRelease,
    counts_of,
    pit_of,
    place_columns,
    small_release,
)
from tests.interop.service import Service, serving

FIRST_ON = date(2025, 4, 1)
ROWS_THAT_LOOK_ALIKE = 30  # clients guess types from the first 10 to 20
# Far above what the tools ask in a minute: the limit has a server of its own.
GENEROUS = {
    "DRILOSPHERE_OPEN_REQUESTS_PER_MINUTE": "1000000",
    "DRILOSPHERE_PARTNER_REQUESTS_PER_MINUTE": "1000000",
}


def pytest_ignore_collect(config: pytest.Config) -> bool | None:
    """Leave this folder out unless it is asked for: its packages are not those of the suite."""
    return None if config.getoption("markexpr").startswith("interop") else True


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test of this folder, and let it talk to 127.0.0.1 and nobody else."""
    folder = Path(__file__).parent
    for item in items:
        if folder in item.path.parents:
            item.add_marker(pytest.mark.interop)
            item.add_marker(pytest.mark.allow_hosts(["127.0.0.1"]))


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """Serve data that no test changes."""
    with serving(tmp_path_factory.mktemp("service"), **GENEROUS) as running:
        yield running


@pytest.fixture(scope="session")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """Serve data that tests may change, and forget at the end."""
    with serving(tmp_path_factory.mktemp("practice"), **GENEROUS) as running:
        yield running


@pytest.fixture
def served(live_server: LiveServer, settings: Settings) -> str:
    """Return the address of the face, on a server that speaks of itself by its own address."""
    cache.clear()
    settings.PUBLIC_URL = live_server.url.replace("localhost", "127.0.0.1")
    return f"{settings.PUBLIC_URL}/features"


@pytest.fixture
def released(served: str) -> SmallRelease:  # noqa: ARG001 -- links name the server
    """Return a release whose last rows differ from all before them.

    Only the last pit is 2.75 cm deep and was moist; only the last visit has a remark, no
    coordinates and no people who were counted.
    """
    small = small_release()
    for number in range(ROWS_THAT_LOOK_ALIKE):
        _add_visit(small, number, {}, {"depth_cm": 20.0, "moisture": None})
    last = {
        **place_columns("root"),
        "remarks": "said \"so\", twice;\nand 'so'",
        "people_digging": None,
        "country_code": None,
    }
    _add_visit(
        small,
        ROWS_THAT_LOOK_ALIKE,
        last,
        {
            "depth_cm": 2.75,
            "moisture": "moist",
            "habitat": "hedge",
            "management": ["mown", "limed"],
        },
    )
    return small


def _add_visit(
    small: SmallRelease, number: int, of_visit: dict[str, Any], of_pit: dict[str, Any]
) -> None:
    day = FIRST_ON + timedelta(days=number)
    dated = {"sampled_on": day.isoformat(), "sampled_first_on": day, "sampled_last_on": day}
    cell = place_columns(f"0.01|{52 + number / 100:.2f}|-0.72")
    visit = PublishedVisitFactory.create(**cell | dated | of_visit)
    pit = pit_of(visit, **of_pit)
    small.visits.append(visit)
    small.pits.append(pit)
    small.counts += counts_of(pit, "hand_sort", (1, 0, number, 4))
