"""Check 29: the data package against its profile, a second reader, and the archive.

The profile and the table schemas are drafts of TDWG (pre-review of 2026-05-02): what passes here
may have to change with them, so the form is experimental.
"""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from frictionless import Package, system
from jsonschema import Draft4Validator, FormatChecker
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT4

from tests.conformance.conftest import Written
from tests.conformance.reading import Archive, Table, members_of
from tests.conformance.standards import REFERENCE, SHARED, needs_shared

TABLES = [
    "event",
    "survey",
    "survey-target",
    "occurrence",
    "event-assertion",
    "occurrence-assertion",
]
DATA_PACKAGE_1 = "https://specs.frictionlessdata.io/schemas/data-package.json"


@pytest.fixture
def members(written: Written) -> dict[str, bytes]:
    """Return the files of the package."""
    return members_of(written.files["data-package.zip"])


@pytest.fixture
def descriptor(members: dict[str, bytes]) -> dict[str, Any]:
    """Return its descriptor."""
    found: dict[str, Any] = json.loads(members["datapackage.json"])
    return found


@pytest.fixture
def tables(members: dict[str, bytes]) -> dict[str, Table]:
    """Return its rows by table."""
    texts = {name: members[f"{name}.csv"].decode() for name in TABLES}
    return {
        name: list(csv.DictReader(io.StringIO(text, newline=""))) for name, text in texts.items()
    }


def profile_faults(descriptor: dict[str, Any]) -> list[str]:
    """Return what the profile of Darwin Core data packages says against a descriptor."""
    folder = REFERENCE / "data_package"
    base = json.loads((folder / "data_package_1.json").read_text(encoding="utf-8"))
    profile = json.loads((folder / "dwc-dp-profile.json").read_text(encoding="utf-8"))
    registry: Registry[Any] = Registry().with_resource(
        DATA_PACKAGE_1, Resource.from_contents(base, default_specification=DRAFT4)
    )
    validator = Draft4Validator(profile, registry=registry, format_checker=FormatChecker())
    return [fault.message for fault in validator.iter_errors(descriptor)]


def test_package_holds_its_descriptor_and_six_tables(members: dict[str, bytes]) -> None:
    assert sorted(members) == sorted(["datapackage.json", *(f"{name}.csv" for name in TABLES)])


def test_descriptor_fits_the_profile(descriptor: dict[str, Any]) -> None:
    assert profile_faults(descriptor) == []


@pytest.mark.parametrize("fault", ["profile", "resources", "licence", "term", "reference"])
def test_profile_sees_a_planted_fault(descriptor: dict[str, Any], fault: str) -> None:
    field = descriptor["resources"][0]["schema"]["fields"][0]
    match fault:
        case "profile" | "resources":
            del descriptor[fault]
        case "licence":
            descriptor["licenses"] = [{"title": "free"}]
        case "term":
            del field["dcterms:isVersionOf"]
        case "reference":
            field["dcterms:references"] = ""

    assert profile_faults(descriptor)


@needs_shared
def test_profiles_are_those_of_the_standards() -> None:
    standards = SHARED / "standards"
    pairs = [
        ("dwc-dp-profile.json", standards / "darwin-core/data-package/dwc-dp-profile.json"),
        ("data_package_1.json", standards / "data-package-v1/datapackage.json"),
    ]
    for name, original in pairs:
        ours = json.loads((REFERENCE / "data_package" / name).read_text(encoding="utf-8"))
        assert _rules(ours) == _rules(json.loads(original.read_text(encoding="utf-8")))


def _rules(schema: Any) -> Any:
    """Leave out of a schema what only explains."""
    if isinstance(schema, list):
        return [_rules(part) for part in schema]
    if not isinstance(schema, dict):
        return schema
    telling = {"context", "examples", "propertyOrder"}
    return {
        name: _rules(part)
        for name, part in schema.items()
        if name not in telling or isinstance(part, dict)
    }


@needs_shared
@pytest.mark.parametrize("name", TABLES)
def test_fields_are_the_standards_own_but_for_comments_and_empty_references(
    descriptor: dict[str, Any], name: str
) -> None:
    path = SHARED / "standards/darwin-core/data-package/table-schemas" / f"{name}.json"
    original = json.loads(path.read_text(encoding="utf-8"))
    defined = {
        field["name"]: {
            key: value
            for key, value in field.items()
            if key not in {"comments", "examples"} and (value or key != "dcterms:references")
        }
        for field in original["fields"]
    }

    (resource,) = (found for found in descriptor["resources"] if found["name"] == name)
    schema = resource["schema"]

    assert schema["fields"] == [defined[field["name"]] for field in schema["fields"]]
    assert schema.get("primaryKey") == original.get("primaryKey")
    assert all(key in original["foreignKeys"] for key in schema.get("foreignKeys", []))


def test_second_reader_finds_no_fault(
    descriptor: dict[str, Any], members: dict[str, bytes], tmp_path: Path
) -> None:
    assert reader_faults(descriptor, members, tmp_path) == []


@pytest.mark.parametrize(
    ("name", "good", "bad", "fault"),
    [
        ("occurrence", b"/id/phase/", b"/id/nowhere/", "foreign-key"),
        ("survey", b",true,", b",maybe,", "type-error"),
        ("event", b"https://data.example.org/id/visit/", b"", "foreign-key"),
        ("event-assertion", b"\r\n", b",surplus\r\n", "extra-label"),
    ],
)
def test_second_reader_sees_a_planted_fault(
    written: Written, tmp_path: Path, name: str, good: bytes, bad: bytes, fault: str
) -> None:
    members = members_of(written.files["data-package.zip"])
    content = members[f"{name}.csv"]
    members[f"{name}.csv"] = content.replace(good, bad, 1)

    found = reader_faults(json.loads(members["datapackage.json"]), members, tmp_path)

    assert content != members[f"{name}.csv"]
    assert fault in found


def reader_faults(descriptor: dict[str, Any], members: dict[str, bytes], folder: Path) -> list[str]:
    """Return what frictionless says against types, constraints, keys and references.

    Offline: the profile's address is left out, for the reader would fetch it.
    """
    for name, content in members.items():
        (folder / name).write_bytes(content)
    local = {key: value for key, value in descriptor.items() if key != "profile"}
    with system.use_context(trusted=False):
        report = Package.from_descriptor(local, basepath=str(folder)).validate()
    errors = [*report.errors, *(error for task in report.tasks for error in task.errors)]
    return [str(error.type) for error in errors]


def test_tables_are_written_as_rfc_4180_asks(members: dict[str, bytes]) -> None:
    for name in TABLES:
        content = members[f"{name}.csv"]
        text = content.decode("utf-8")
        assert not text.startswith("\ufeff")
        assert content.endswith(b"\r\n")
        assert content.count(b"\n") == content.count(b"\r\n")
        widths = {len(row) for row in csv.reader(io.StringIO(text, newline=""), strict=True)}
        assert len(widths) == 1


def test_header_of_each_table_is_that_of_its_schema(
    descriptor: dict[str, Any], tables: dict[str, Table]
) -> None:
    for resource in descriptor["resources"]:
        names = [field["name"] for field in resource["schema"]["fields"]]
        assert list(tables[resource["name"]][0]) == names
        assert resource["mediatype"] == "text/csv"


def test_words_of_the_status_are_those_of_the_newer_generation(tables: dict[str, Table]) -> None:
    # dwc:occurrenceStatus, TDWG 2026-05-26. There is no column of individualCount here.
    quantities = {
        (row["occurrenceStatus"], row["organismQuantity"]) for row in tables["occurrence"]
    }

    assert {status for status, _ in quantities} == {"detected", "notDetected"}
    for status, quantity in quantities:
        assert (status == "notDetected") is (quantity == "0")


def test_counts_are_those_of_the_archive(archive: Archive, tables: dict[str, Table]) -> None:
    about_occurrences = [row for row in archive["measurement"] if row["occurrenceID"]]

    assert {name: len(rows) for name, rows in tables.items() if name != "survey-target"} == {
        "event": len(archive["event"]),
        "survey": len(archive["humboldt"]),
        "occurrence": len(archive["occurrence"]),
        "event-assertion": len(archive["measurement"]) - len(about_occurrences),
        "occurrence-assertion": len(about_occurrences),
    }
    assert {row["surveyID"] for row in tables["survey-target"]} == {
        row["surveyID"] for row in tables["survey"]
    }


@pytest.mark.parametrize(
    ("table", "kind", "key"),
    [("event", "event", "eventID"), ("occurrence", "occurrence", "occurrenceID")],
)
def test_values_are_those_of_the_archive(
    archive: Archive, tables: dict[str, Table], table: str, kind: str, key: str
) -> None:
    others = {row[key]: row for row in archive[kind]}

    for row in tables[table]:
        other = others[row[key]]
        shared = row.keys() & other.keys() - {"occurrenceStatus"}
        assert {name: row[name] for name in shared} == {name: other[name] for name in shared}
        assert len(shared) > 10


def test_targets_are_the_scope_of_the_archive(archive: Archive, tables: dict[str, Table]) -> None:
    columns = {
        ("taxon", "include"): "targetTaxonomicScope",
        ("lifeStage", "include"): "targetLifeStageScope",
        ("lifeStage", "exclude"): "excludedLifeStageScope",
        ("habitat", "include"): "targetHabitatScope",
    }
    told: dict[tuple[str, str], list[str]] = {}
    for row in tables["survey-target"]:
        event = row["surveyID"].removesuffix("#survey")
        column = columns[row["surveyTargetType"], row["includeOrExclude"]]
        told.setdefault((event, column), []).append(row["surveyTargetValue"])

    for scope in archive["humboldt"]:
        for column in columns.values():
            assert " | ".join(told[scope["id"], column]) == scope[column]


def test_package_says_that_it_is_experimental_and_under_which_licence(
    descriptor: dict[str, Any], archive: Archive
) -> None:
    assert descriptor["description"].startswith("Experimental: ")
    assert [licence["path"] for licence in descriptor["licenses"]] == [
        archive.eml.findtext("dataset/licensed/url")
    ]
    assert descriptor["id"] == archive.eml.findtext("dataset/alternateIdentifier")
    assert descriptor["version"] == "1"
