"""JSON and CSV: who gets which, and that both hold the same rows."""

import csv
import io
from typing import Any

import pytest

from api.open.formats import as_csv
from tests.factories.published import PublishedVisitFactory, ReleaseFactory, SmallRelease
from tests.journeys.actors import Actor

CSV = "text/csv; charset=utf-8; header=present"
JSON = "application/json"
FIREFOX = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"
ACCEPTED = [
    (None, JSON),
    ("*/*", JSON),
    ("", JSON),
    ("application/json", JSON),
    ("application/*", JSON),
    ("Application/JSON; charset=utf-8", JSON),
    (FIREFOX, JSON),
    ("text/csv", CSV),
    ("TEXT/CSV;header=present", CSV),
    ("text/*", CSV),
    ("text/csv, application/json", CSV),
    ("application/json;q=0.5, text/csv", CSV),
    ("text/csv;q=0.4, application/json;q=0.8", JSON),
    ("text/html, text/csv;q=0.1", CSV),
    ("application/json;q=0, text/csv;q=0.1", CSV),
]
NOT_AVAILABLE = ["text/html", "application/xml", "image/png, text/html", "text/csv;q=0", "garbage"]
SEVERAL_FORMATS = ("/api/v1/pits", "/api/v1/occurrences", "/api/v1/summary")


def table(answer: Any) -> list[dict[str, str]]:
    text = answer.content.decode("utf-8")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def as_cell(value: Any) -> str:
    """Write a JSON value as a cell: by hand, apart from the code under test."""
    if value is None:
        return ""
    if value is True or value is False:
        return "true" if value else "false"
    return "|".join(value) if isinstance(value, list) else str(value)


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("address", SEVERAL_FORMATS)
@pytest.mark.parametrize(("accept", "expected"), ACCEPTED)
def test_accept_chooses_the_format(
    reader: Actor, address: str, accept: str | None, expected: str
) -> None:
    answer = reader.get(address, **({} if accept is None else {"Accept": accept}))

    assert (answer.status_code, answer.headers["Content-Type"]) == (200, expected)
    assert "Accept" in answer.headers["Vary"]


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("address", SEVERAL_FORMATS)
@pytest.mark.parametrize("accept", NOT_AVAILABLE)
def test_format_that_is_not_available_is_refused(reader: Actor, address: str, accept: str) -> None:
    answer = reader.get(address, Accept=accept)

    assert answer.status_code == 406
    assert answer.headers["Content-Type"] == "application/problem+json"
    tables = ["json", "csv"]
    collections = ["json", "geojson", "csv", "ndjson", "parquet"]
    assert answer.json()["available"] == (tables if "summary" in address else collections)


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("accept", ["text/html", "application/json", "*/*"])
def test_f_wins_over_accept(reader: Actor, accept: str) -> None:
    as_table = reader.get("/api/v1/pits?f=csv", Accept=accept)
    as_json = reader.get("/api/v1/pits?f=json", Accept="text/csv")

    assert (as_table.status_code, as_table.headers["Content-Type"]) == (200, CSV)
    assert (as_json.status_code, as_json.headers["Content-Type"]) == (200, JSON)


@pytest.mark.usefixtures("small")
def test_single_record_is_json_only(reader: Actor, small: SmallRelease) -> None:
    address = f"/api/v1/visits/{small.visits[0].id}"

    assert reader.get(address, Accept="*/*").headers["Content-Type"] == JSON
    assert reader.get(address, Accept="text/html").status_code == 406


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", ["visits", "pits", "counts", "occurrences"])
def test_csv_holds_the_rows_of_json(reader: Actor, collection: str) -> None:
    rows = reader.get(f"/api/v1/{collection}").json()["data"]

    answer = reader.get(f"/api/v1/{collection}?f=csv")

    assert rows
    assert table(answer) == [{name: as_cell(row[name]) for name in row} for row in rows]
    assert answer.content.count(b"\r\n") == len(rows) + 1  # RFC 4180, 2.1


@pytest.mark.usefixtures("small")
def test_summary_as_csv_holds_the_groups_of_json(reader: Actor) -> None:
    groups = reader.get("/api/v1/summary?by=habitat,season").json()["data"]

    answer = reader.get("/api/v1/summary?by=habitat,season&f=csv")

    assert table(answer) == [{name: as_cell(row[name]) for name in row} for row in groups]


@pytest.mark.usefixtures("small")
def test_csv_can_be_paged_by_its_headers(reader: Actor) -> None:
    whole = [row["id"] for row in reader.get("/api/v1/pits").json()["data"]]

    found, address = [], "/api/v1/pits?f=csv&limit=3"
    while address:
        answer = reader.get(address)
        found += [row["id"] for row in table(answer)]
        links = [part for part in answer.headers["Link"].split(", <") if 'rel="next"' in part]
        address = links[0].partition(">")[0].strip("<") if links else ""

    assert found == whole
    assert len(found) == 4


@pytest.mark.django_db
def test_spreadsheet_csv_has_a_byte_order_mark_and_tamed_formulas(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    PublishedVisitFactory.create(remarks='=HYPERLINK("http://example.org")', group_code="+1-2")

    plain = reader.get("/api/v1/visits?f=csv")
    tamed = reader.get("/api/v1/visits?f=csv&bom=true")

    assert plain.content[:3] != b"\xef\xbb\xbf"
    assert table(plain)[0]["remarks"] == '=HYPERLINK("http://example.org")'
    assert tamed.content[:3] == b"\xef\xbb\xbf"
    (row,) = csv.DictReader(io.StringIO(tamed.content.decode("utf-8-sig"), newline=""))
    assert row["remarks"] == '\'=HYPERLINK("http://example.org")'
    assert row["group_code"] == "'+1-2"
    assert row["longitude"] == "-0.715", "a negative number stays a number"
    assert plain.headers["ETag"] != tamed.headers["ETag"]


# OWASP, CSV Injection: cells that begin with one of these are taken as formulas (from memory).
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_formula_is_tamed_by_each_of_its_starts(start: str) -> None:
    made = as_csv([{"a": f"{start}1+1"}], ["a"], for_spreadsheets=True)

    (row,) = csv.DictReader(io.StringIO(made.decode("utf-8-sig"), newline=""))
    assert row["a"] == f"'{start}1+1"


@pytest.mark.parametrize("number", [-1, -0.5, 3, 0.1])
def test_number_is_never_tamed(number: float) -> None:
    made = as_csv([{"a": number}], ["a"], for_spreadsheets=True)

    assert made.decode("utf-8-sig") == f"a\r\n{number}\r\n"
