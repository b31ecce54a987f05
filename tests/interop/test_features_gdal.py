"""GDAL as a client of the features: every row, every value, its filters, its pages, our limit.

It trusts the server with whatever the definition declares, so each count is compared with ours.
"""

from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from api.throttling import OpenThrottle
from tests.factories.published import SmallRelease
from tests.interop.clients import asked_of_us, copied, features_of, ogr2ogr, read_copy

COLLECTIONS = ("visits", "pits", "occurrences")
PAGE = ("-oo", "PAGE_SIZE=1000")
# How the program writes our types into a GeoPackage.
TYPES = {int: "MEDIUMINT", float: "REAL", bool: "BOOLEAN", str: "TEXT"}


@pytest.mark.usefixtures("released")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_copy_has_every_row_and_value(served: str, tmp_path: Path, collection: str) -> None:
    ours = features_of(served, collection)

    copy = copied(served, tmp_path, collection, *PAGE)

    assert {key: told(row, ours[key]) for key, row in copy.rows.items()} == ours
    assert (
        len(copy.rows) == asked_of_us(f"{served}/collections/{collection}/items")["numberMatched"]
    )


def told(row: dict[str, Any], like: dict[str, Any]) -> dict[str, Any]:
    """Return the properties in a row; a GeoPackage writes yes and no as 1 and 0."""
    return {name: bool(row[name]) if isinstance(like[name], bool) else row[name] for name in like}


@pytest.mark.usefixtures("released")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_column_has_the_type_of_its_values(served: str, tmp_path: Path, collection: str) -> None:
    ours = features_of(served, collection)

    types = copied(served, tmp_path, collection).types  # ten rows a page, as it asks unless told

    expected = {
        name: TYPES[type(value)]
        for row in ours.values()
        for name, value in row.items()
        if value is not None
    }
    assert expected | {"sampled_on": "DATE"} == {name: types[name] for name in expected}
    assert types["geom"] == "POLYGON"


def test_fraction_that_comes_late_is_not_cut(
    served: str, released: SmallRelease, tmp_path: Path
) -> None:
    last = released.pits[-1]

    row = copied(served, tmp_path, "pits").rows[str(last.id)]

    assert (row["depth_cm"], row["moisture"], row["management"]) == (2.75, "moist", "mown|limed")
    assert (row["people_digging"], row["latitude"], row["geom"]) == (None, None, None)
    assert row["remarks"] == "said \"so\", twice;\nand 'so'"


@pytest.mark.usefixtures("released")
def test_pages_beyond_the_first_are_followed(served: str, tmp_path: Path) -> None:
    ours = features_of(served, "occurrences")

    copy = copied(served, tmp_path, "occurrences", "-oo", "PAGE_SIZE=7")

    assert len(ours) > 100
    assert set(copy.rows) == set(ours)
    assert sum("cursor=" in line for line in copy.asked) == -(-len(ours) // 7) - 1


FILTERS = [
    ("pits", "habitat = 'hedge'", {"habitat": "hedge"}),
    ("pits", "found = 16", {"found": "16"}),
    ("pits", "habitat = 'lawn' AND people_digging = 2", {"habitat": "lawn", "people_digging": "2"}),
    ("visits", "cell = '0.01|52.05|-0.72'", {"cell": "0.01|52.05|-0.72"}),
    ("visits", "country_code = 'GB'", {"country_code": "GB"}),
    ("occurrences", "lifeStage = 'juvenile'", {"lifeStage": "juvenile"}),
    ("occurrences", "individualCount = 0", {"individualCount": "0"}),
    ("pits", "sampled_on = '2025/04/07'", {"datetime": "2025-04-07"}),
    ("pits", "sampled_on >= '2025/04/07'", {"datetime": "2025-04-07/.."}),
    ("pits", "sampled_on <= '2025/04/07'", {"datetime": "../2025-04-07"}),
    (
        "pits",
        "sampled_on >= '2025/04/07' AND sampled_on <= '2025/04/20'",
        {"datetime": "2025-04-07/2025-04-20"},
    ),
]


@pytest.mark.usefixtures("released")
@pytest.mark.parametrize(("collection", "where", "ours"), FILTERS)
def test_condition_finds_what_ours_finds(
    served: str, tmp_path: Path, collection: str, where: str, ours: dict[str, str]
) -> None:
    items = f"{served}/collections/{collection}/items"
    expected = {feature["id"] for feature in asked_of_us(items, **ours)["features"]}

    copy = copied(served, tmp_path, collection, "-where", where)

    assert set(copy.rows) == expected
    assert 0 < len(expected) < asked_of_us(items)["numberMatched"]
    assert any(f"{name}=" in copy.asked[-1] for name in ours), "it left the condition to us"


@pytest.mark.usefixtures("released")
def test_condition_that_we_do_not_declare_is_kept_by_the_client(
    served: str, tmp_path: Path
) -> None:
    copy = copied(served, tmp_path, "pits", "-where", "depth_cm = 2.75")

    assert [row["depth_cm"] for row in copy.rows.values()] == [2.75]
    assert all("depth_cm" not in line for line in copy.asked)


@pytest.mark.usefixtures("released")
@pytest.mark.parametrize("box", [(-1, 52.05, 0, 52.1), (-300, 52.05, 300, 52.1), (10, 0, 11, 1)])
def test_box_finds_what_ours_finds(served: str, tmp_path: Path, box: tuple[float, ...]) -> None:
    west, south, east, north = box
    edges = f"{max(west, -180)},{south},{min(east, 180)},{north}"
    ours = asked_of_us(f"{served}/collections/pits/items", bbox=edges)

    copy = copied(served, tmp_path, "pits", "-spat", *map(str, box))

    assert set(copy.rows) == {feature["id"] for feature in ours["features"]}
    assert len(copy.rows) == (0 if west == 10 else 5)


@pytest.mark.usefixtures("released")
def test_one_address_brings_all_collections(served: str, tmp_path: Path) -> None:
    ended = ogr2ogr(served, tmp_path, *PAGE)

    assert ended.returncode == 0, ended.stderr
    for collection in COLLECTIONS:
        copy = read_copy(tmp_path / "copy.gpkg", collection)
        assert set(copy.rows) == set(features_of(served, collection))


def test_older_release_is_read_by_its_address(
    served: str, released: SmallRelease, tmp_path: Path
) -> None:
    released.release.__class__.objects.create(**_as_second(released))

    copy = copied(f"{served}?release=1", tmp_path, "visits")

    assert {UUID(key) for key in copy.rows} == {visit.id for visit in released.visits}
    assert all("release=1" in line for line in copy.asked if "/collections" in line)


def _as_second(released: SmallRelease) -> dict[str, Any]:
    columns = {
        one.name: getattr(released.release, one.name) for one in released.release._meta.fields
    }
    return columns | {"number": 2}


@pytest.mark.usefixtures("released")
def test_limit_of_requests_ends_a_copy_unless_the_client_tries_again(
    served: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    ours = set(features_of(served, "occurrences"))
    monkeypatch.setattr(OpenThrottle, "get_rate", lambda _: "2/s")

    cut = ogr2ogr(served, tmp_path, "occurrences", "-oo", "PAGE_SIZE=20")
    patient = ogr2ogr(
        served,
        tmp_path,
        "occurrences",
        "-oo",
        "PAGE_SIZE=20",
        GDAL_HTTP_MAX_RETRY="10",
        GDAL_HTTP_RETRY_DELAY="1",
    )

    assert cut.returncode != 0
    assert "429" in cut.stderr
    assert patient.returncode == 0
    assert "429" in patient.stderr, "it was refused, and went on"
    assert set(read_copy(tmp_path / "copy.gpkg", "occurrences").rows) == ours
