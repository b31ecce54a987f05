"""Bundled lists against their sources."""

import csv
from pathlib import Path

import pytest
from pyproj import CRS

from surveys.checks.bdq import datums, licences, lists
from surveys.checks.bdq.catalogue import CATALOGUE
from surveys.checks.bdq.month_names import month_number

ZONES = Path("/usr/share/zoneinfo/iso3166.tab")
LICENCES = Path(__file__).parents[5] / "shared" / "standards" / "licences" / "licences.csv"


def test_countries_are_those_of_iso_3166() -> None:
    # ISO 3166-1 has 249 officially assigned codes (ISO Online Browsing Platform, from memory)
    codes = [row["alpha_2"] for row in lists.COUNTRIES]

    assert len(codes) == len(set(codes)) == 249
    assert len({row["alpha_3"] for row in lists.COUNTRIES}) == 249
    assert {"GB", "CH", "AX", "SS"} <= lists.COUNTRY_CODES
    assert not {"UK", "EU", "AN", "XK"} & lists.COUNTRY_CODES


@pytest.mark.skipif(not ZONES.exists(), reason="no time zone table on this machine")
def test_countries_equal_the_table_of_the_tz_database() -> None:
    lines = ZONES.read_text(encoding="utf-8").splitlines()
    codes = {line.split("\t")[0] for line in lines if line and not line.startswith("#")}

    assert {row["alpha_2"] for row in lists.COUNTRIES} == codes


@pytest.mark.parametrize(("name", "code"), sorted(datums.NAMES.items()))
def test_datum_names_mean_a_geographic_system_of_that_name(name: str, code: str) -> None:
    # EPSG data set through pyproj: the names of system and datum
    system = CRS(code)
    assert system.datum is not None
    known = f"{system.name} {system.datum.name}".casefold()
    letters = "".join(char for char in known if char.isalnum())
    aliases = {"osgb1936": "osgb36", "wgs1984": "worldgeodeticsystem1984"}

    assert datums.is_geographic(code)
    assert aliases.get(name, name) in letters


@pytest.mark.parametrize(
    ("value", "is_standard"),
    [
        ("EPSG:4326", True),  # system
        ("EPSG:6326", True),  # datum
        ("EPSG:7030", True),  # ellipsoid
        ("EPSG:32754", False),  # projected
        ("EPSG:4979", False),  # three-dimensional
        ("EPSG:4807", False),  # in grads
        ("EPSG:0", False),
        ("4326", False),
        ("epsg:4326", False),
        ("WGS84", False),
    ],
)
def test_datum_code_is_of_the_right_kind(*, value: str, is_standard: bool) -> None:
    assert datums.is_standard(value) is is_standard


@pytest.mark.parametrize(
    ("value", "code"),
    [
        ("WGS84", "EPSG:4326"),
        ("wgs_84", "EPSG:4326"),
        ("WGS:84", "EPSG:4326"),
        ("WGS 1984", "EPSG:4326"),
        ("epsg: 4326", "EPSG:4326"),
        ("GDA94", "EPSG:4283"),
        ("WGS8", None),
        ("GDA", None),
        ("4326", None),
    ],
)
def test_datum_is_meant_by_its_name_only(value: str, code: str | None) -> None:
    assert datums.code_meant(value) == code


@pytest.mark.parametrize(
    ("text", "tail"),
    [
        ("CC0", "publicdomain/zero/1.0/legalcode"),
        ("CC0 1.0 Universal", "publicdomain/zero/1.0/legalcode"),
        ("cc-by 4.0", "licenses/by/4.0/legalcode"),
        ("CC_BY_4_0", "licenses/by/4.0/legalcode"),
        ("CC BY-NC-SA v4.0", "licenses/by-nc-sa/4.0/legalcode"),
        (
            "Creative Commons Attribution 4.0 International (CC BY 4.0)",
            "licenses/by/4.0/legalcode",
        ),
        ("http://creativecommons.org/licenses/by/4.0", "licenses/by/4.0/legalcode"),
        ("creativecommons.org/publicdomain/zero/1.0", "publicdomain/zero/1.0/legalcode"),
        ("CC BY", None),
        ("CC BY 3.0", None),
        ("CC BY-SA-NC 4.0", None),
        ("https://creativecommons.org/licenses/by/3.0/", None),
        ("https://creativecommons.org/licenses/nd/4.0/", None),
        ("free", None),
        ("", None),
    ],
)
def test_licence_is_meant_only_with_its_version(text: str, tail: str | None) -> None:
    expected = None if tail is None else f"https://creativecommons.org/{tail}"

    assert licences.licence_meant(text) == expected
    assert expected is None or licences.ADDRESS.fullmatch(expected)


@pytest.mark.skipif(not LICENCES.exists(), reason="the table of licences is not at hand")
def test_addresses_of_the_licence_table_are_known() -> None:
    with LICENCES.open(encoding="utf-8", newline="") as table:
        rows = [row for row in csv.DictReader(table) if row["spdx_id"].startswith("CC")]

    assert rows
    for row in rows:
        assert licences.ADDRESS.fullmatch(row["deed_uri"])
        assert licences.ADDRESS.fullmatch(row["legalcode_uri"])


@pytest.mark.parametrize(
    ("word", "number"),
    [
        ("October", 10),
        ("okt", 10),
        ("Sept.", 9),
        ("août", 8),
        ("März", 3),
        ("IV", 4),
        ("xii", 12),
        ("jui", None),  # juin or juillet
        ("ju", None),
        ("xiii", None),
        ("", None),
    ],
)
def test_month_is_named_by_any_telling_beginning(word: str, number: int | None) -> None:
    assert month_number(word) == number


def test_catalogue_names_versions_and_terms() -> None:
    assert len(CATALOGUE) == 75
    entry = CATALOGUE["VALIDATION_DAY_INRANGE"]
    assert entry.test_id == "8d787cb5-73e2-4c39-9cd1-67c7361dc02e"
    assert entry.version == "2024-09-16"
    assert entry.acted_upon == ("dwc:day", "dwc:month", "dwc:year")
