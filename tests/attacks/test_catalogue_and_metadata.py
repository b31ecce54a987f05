"""Attacks on descriptions: boxes, credits, examples, texts of archives, names of groups.

Numbers 22, 32, 33 and 36 of the list.
"""

import csv
import io
import json
import re
import zipfile
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings

from portal.publication.withdrawal import ReasonClass, withdraw_visits
from surveys.visits.models import Visit
from tests.attacks.conftest import Tell
from tests.attacks.scene import Answers, everything_public, read, rows_of
from tests.attacks.unpacking import texts_of
from tests.portal.publication.villages import (
    FIRST_AT,
    fixed_mint,
    household,
    release,
    village,
    village_group,
)

LONE = {"place_kind": "school_ground", "latitude": "52.7412345", "longitude": "-0.7234567"}
EDGES = {"west": -0.8, "south": 52.7, "east": -0.7, "north": 52.8}  # of its cell of 0.1 degree
# Terms of Darwin Core for what only the recorder should know (https://dwc.tdwg.org/terms/).
EMPTY_TERMS = (
    *("locality", "verbatimLocality", "verbatimCoordinates", "verbatimLatitude"),
    *("verbatimLongitude", "recordNumber", "fieldNumber", "otherCatalogNumbers"),
    *("minimumElevationInMeters", "maximumElevationInMeters", "verbatimElevation", "eventTime"),
    *("municipality", "county", "fieldNotes", "eventRemarks", "locationRemarks"),
)
NUMBER = re.compile(r"-?\d+\.\d+|-?\d+")


@pytest.fixture(scope="module")
def alone(tell: Tell) -> Answers:
    """Return everything public of a dataset with one site."""

    def one_school() -> None:
        household(village_group(named_publicly=True), 1, site=LONE, note="Behind the hall.")
        release(1, mint=fixed_mint)

    answers: Answers = tell(one_school, everything_public)
    return answers


def test_box_of_one_site_is_the_box_of_its_cell(alone: Answers) -> None:
    """33: a dataset of one site; its box is the cell's, in every description that has one."""
    boxes = 0
    for address in ("/catalogue", "/dataset", "/releases/1", "/features/collections/visits"):
        found = coordinates_in(alone[address].body)
        assert found <= set(EDGES.values()), address
        boxes += found == set(EDGES.values())
    eml = member(alone["/files/1/1/archive.zip"].body, "eml.xml").decode()
    for side, edge in EDGES.items():
        (written,) = re.findall(rf"<{side}BoundingCoordinate>([^<]+)<", eml)
        assert float(written) == edge

    assert boxes >= 2


def coordinates_in(body: bytes) -> set[float]:
    """Return the numbers with decimals of a text that could be coordinates there."""
    numbers = {float(one) for one in NUMBER.findall(body.decode()) if "." in one}
    return {one for one in numbers if 52 < one < 53 or -1 < one < -0.5}


def member(archive: bytes, name: str) -> bytes:
    with zipfile.ZipFile(io.BytesIO(archive)) as files:
        return files.read(name)


@pytest.mark.parametrize("name", ["archive.zip", "flat-archive.zip"])
def test_terms_for_the_recorders_own_words_are_absent_or_empty(alone: Answers, name: str) -> None:
    """32: verbatim fields, locality, record and field numbers, dynamicProperties."""
    archive = alone[f"/files/1/1/{name}"].body
    with zipfile.ZipFile(io.BytesIO(archive)) as files:
        tables = [one for one in files.namelist() if one.endswith((".txt", ".csv", ".tsv"))]
        rows = [
            row
            for table in tables
            for row in csv.DictReader(
                io.StringIO(files.read(table).decode()), delimiter="\t", quoting=csv.QUOTE_NONE
            )
        ]

    assert rows
    nobody = f"{settings.DATASET['rights_holder']} volunteers"
    assert {row.get(term) or "" for row in rows for term in EMPTY_TERMS} == {""}
    assert {row.get("recordedBy") or nobody for row in rows} == {nobody}
    properties = json.dumps([row.get("dynamicProperties") for row in rows])
    assert not re.search(r"52\.|0\.7\d|hall|garden|P01", properties)


def test_examples_of_the_service_are_invented(alone: Answers) -> None:
    """22: scan the description of the service for anything that the database holds."""
    text = alone["/api/v1/openapi.json"].body.decode()
    (row,) = json.loads(alone["/api/v1/visits?limit=1000"].body)["data"]
    private = ["QVD", "P01", "house-1", "garden-1", "52.74", "Behind the hall.", "Quellmoor"]

    for value in (*private, row["id"], row["site_id"], row["visit_id"]):
        assert f'"{value}"' not in text
        assert value not in text or value in {"QVD", "P01"}


def test_release_has_a_page_for_every_face(alone: Answers) -> None:
    """Without this, the searches above could look into refusals."""
    asked = ("/catalogue", "/dataset", "/releases/1", "/features/collections/visits")

    assert {alone[address].status for address in asked} == {200}


@dataclass(frozen=True)
class Named:
    """Rows and credits of a local group with one site among another group's."""

    rows: list[dict[str, Any]]
    groups: Any
    files: list[str]


def two_groups(own_sites: int) -> None:
    """Make a cell of six households of one group and some of a small one, both to be named."""
    village(village_group(named_publicly=True), range(6))
    small = village_group(code="HAM", name="Hamlet of Nether Quell", named_publicly=True)
    village(small, range(own_sites))
    release(1, mint=fixed_mint)


def test_name_of_a_group_with_one_site_is_in_the_credits_only(tell: Tell) -> None:
    """36: a name that gives the village away stands on no row and in no file's rows."""

    def ask() -> Named:
        tables = [f"/files/1/1/{name}" for name in ("visits.csv", "visits.parquet", "pits.csv")]
        named = [one for one in tables for text in texts_of(read(one)) if b"HAM" in text]
        return Named(rows_of("visits"), json.loads(read("/api/v1/groups").body)["data"], named)

    found: Named = tell(lambda: two_groups(1), ask)

    assert [row["group_code"] for row in found.rows].count("HAM") == 0
    assert {one["code"] for one in found.groups} == {"QVD", "HAM"}
    assert found.files == []


def test_name_goes_off_rows_at_once_when_a_group_has_too_few_left(tell_rows: Tell) -> None:
    """36: three households of the small group; one leaves, and two stand beside their name."""

    def leave() -> None:
        two_groups(3)
        withdraw_visits(
            visits=Visit.objects.filter(group__code="HAM", client_ref="V00"),
            reason_class=ReasonClass.CONSENT_WITHDRAWN,
            at=FIRST_AT + timedelta(days=1),
            by="group HAM",
        )

    rows: list[dict[str, Any]] = tell_rows(leave, lambda: rows_of("visits"))

    assert len(rows) == 8
    assert [row["group_code"] for row in rows].count("HAM") == 0
