"""Planning through HTTP: visits needed, and where a further pit tells most."""

import csv
import io
from typing import Any

import pytest

from portal.statistics.planning import ASSUMPTIONS, METHOD
from tests.factories.pairs import LAWN, dig, dig_pairs
from tests.factories.published import (
    SCHOOL_CELL,
    PublishedVisitFactory,
    ReleaseFactory,
    place_columns,
)
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db

PAIRS = ((9, 3), (12, 5), (6, 2), (20, 6), (3, 1), (14, 4), (8, 4), (11, 2))
GARDEN = {"by": "habitat", "first": "lawn", "second": "flower bed"}


def power(**parameters: Any) -> Any:
    return Actor().client.get("/api/v1/planning/power", GARDEN | parameters)


def where(**parameters: Any) -> Any:
    return Actor().client.get("/api/v1/planning/where", parameters)


@pytest.fixture
def eight_pairs() -> None:
    ReleaseFactory.create(number=1)
    dig_pairs(PAIRS)


@pytest.mark.usefixtures("eight_pairs")
def test_power_answers_visits_with_method_and_assumptions() -> None:
    body = power(ratio="1.5").json()

    (plan,) = body["data"]
    assert (plan["ratio"], plan["power"], plan["n_visits"]) == (1.5, 0.8, 8)
    assert plan["visits_from"] < plan["visits_needed"] < plan["visits_to"]
    assert plan["visits_missing"] == max(0, plan["visits_needed"] - 8)
    assert body["sentence"] == plan["sentence"]
    assert (body["method"], body["assumptions"]) == (METHOD, list(ASSUMPTIONS))
    assert body["meta"]["query"] == (
        "/api/v1/planning/power?by=habitat&first=lawn&power=0.8&ratio=1.5&release=1"
        "&second=flower+bed"
    )


@pytest.mark.usefixtures("eight_pairs")
def test_power_asked_for_a_smaller_ratio_needs_more_visits() -> None:
    needed = [power(ratio=ratio).json()["data"][0]["visits_needed"] for ratio in ("2", "1.25")]

    assert needed[0] < needed[1]


@pytest.mark.usefixtures("eight_pairs")
def test_power_as_csv_holds_the_same_figures() -> None:
    (row,) = csv.DictReader(io.StringIO(power(f="csv").content.decode()))

    (plan,) = power().json()["data"]
    assert row == {name: str(value) for name, value in plan.items()}


def test_power_without_both_sides_says_so() -> None:
    ReleaseFactory.create(number=1)

    assert "nothing is known of the variance" in power().json()["sentence"]


@pytest.mark.usefixtures("eight_pairs")
@pytest.mark.parametrize(
    ("parameters", "named"),
    [
        ({"ratio": "1"}, "ratio"),
        ({"ratio": "0"}, "ratio"),
        ({"ratio": "nan"}, "ratio"),
        ({"ratio": "1_5"}, "ratio"),
        ({"ratio": "-2"}, "ratio"),
        ({"power": "1"}, "power"),
        ({"power": "0.2"}, "power"),
        ({"first": "meadow"}, "first"),
        ({"pairing": "paired"}, "pairing"),
    ],
)
def test_power_refuses_what_cannot_be_planned(parameters: dict[str, str], named: str) -> None:
    answer = power(**parameters)

    assert (answer.status_code, answer.json()["parameter"]) == (400, named)


@pytest.mark.usefixtures("eight_pairs")
def test_where_ranks_published_cells_and_habitats() -> None:
    school = PublishedVisitFactory.create(**place_columns(SCHOOL_CELL))
    dig(school, 7, **LAWN)

    body = where().json()

    assert [(row["rank"], row["cell"], row["habitat"], row["n_pits"]) for row in body["data"]] == [
        (1, SCHOOL_CELL, "lawn", 1),
        (2, "0.01|52.88|-0.72", "flower bed", 8),
        (3, "0.01|52.88|-0.72", "lawn", 8),
    ]
    first = body["data"][0]
    assert first["gain"] == pytest.approx(first["width_now"] - first["width_then"], abs=0.002)
    assert (first["latitude"], first["longitude"]) == (52.85, -0.55)
    assert body["formula"].startswith("gain = width(pits) - width(pits and one more)")


@pytest.mark.usefixtures("eight_pairs")
def test_where_gives_as_many_rows_as_wanted() -> None:
    body = where(limit=1).json()

    assert [row["rank"] for row in body["data"]] == [1]
    assert body["meta"]["query"] == "/api/v1/planning/where?limit=1&release=1"
    assert where(limit=0).json()["parameter"] == "limit"


@pytest.mark.usefixtures("eight_pairs")
def test_where_takes_filters_of_counts() -> None:
    rows = where(habitat="lawn").json()["data"]

    assert [row["habitat"] for row in rows] == ["lawn"]
