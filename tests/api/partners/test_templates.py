"""Templates, samples and schemas: made from what checks submissions, so they pass it."""

import json
from typing import Any

import jsonschema
import pytest

from portal.management.commands.runjobs import do_next
from surveys.protocol.definition import library
from surveys.uploads.templates import FORMS
from tests.api.partners.conftest import Partner
from tests.factories.private import put, without
from tests.journeys.actors import Actor

PROTOCOLS = [protocol.name for protocol in library()]
TEMPLATES = "/api/v1/partner/templates"


def test_every_file_of_every_version_is_listed(diggers: Partner) -> None:
    listed = diggers.caller.get(TEMPLATES).json()["data"]

    assert [one["protocol"] for one in listed] == PROTOCOLS
    assert all(set(one["files"]) == set(FORMS) for one in listed)
    assert diggers.caller.get(listed[0]["files"]["wide.csv"]).status_code == 200
    assert Actor().get(listed[0]["schema"]).status_code == 200


@pytest.mark.parametrize("protocol", PROTOCOLS)
def test_samples_pass_as_they_are(diggers: Partner, protocol: str) -> None:
    samples = [name for name, form in FORMS.items() if form.is_sample]
    jobs = []
    for name in samples:
        file = diggers.caller.get(f"{TEMPLATES}/{protocol}/{name}")
        kind = file.headers["Content-Type"].partition(";")[0]
        sent = diggers.caller.client.post(
            "/api/v1/partner/uploads?dry_run=true",
            file.content,
            content_type=kind,
            headers=diggers.caller.headers,
        )
        do_next("worker")
        jobs.append(diggers.caller.get(sent.headers["Location"]).json())
        faults = diggers.caller.get(f"{jobs[-1]['links']['errors']}?severity=all").json()["data"]
        assert faults == [], (name, faults)

    assert len(jobs) == 5
    assert [job["summary"] for job in jobs] == [{"received": 2, "stored": 2}] * len(samples)
    assert [job["questions"] for job in jobs] == [[]] * len(samples)


def test_template_has_the_columns_of_its_protocol(diggers: Partner) -> None:
    text = diggers.caller.get(f"{TEMPLATES}/school-pit/1/wide.csv").content.decode("utf-8-sig")

    (header,) = text.splitlines()
    assert "hand_sort.epigeic.adult" in header.split(",")
    assert "expellant" not in header


@pytest.mark.parametrize("path", ["contrast-pit/9/wide.csv", "contrast-pit/2/tall.csv"])
def test_unknown_file_is_not_found(diggers: Partner, path: str) -> None:
    assert diggers.caller.get(f"{TEMPLATES}/{path}").status_code == 404


def schema_of(protocol: str) -> Any:
    answer = Actor().get(f"/api/v1/protocols/{protocol}/schema")
    assert answer.headers["Content-Type"] == "application/schema+json"
    return json.loads(answer.content)


@pytest.mark.parametrize("protocol", PROTOCOLS)
def test_schema_is_valid_and_takes_the_samples(diggers: Partner, protocol: str) -> None:
    schema = schema_of(protocol)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)

    lines = diggers.caller.get(f"{TEMPLATES}/{protocol}/sample.ndjson").content.splitlines()

    assert len(lines) == 2
    for line in lines:
        validator.validate(json.loads(line))


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/protocol", "contrast-pit/1"),
        ("/pits/0/habitat", "lawnn"),
        ("/pits/0/management", ["ploughd"]),
        ("/pits/0/phases/0/counts/0/number", -1),
        ("/pits/0/phases/0/counts/0/stage", "egg"),
        ("/pits/0/phases/0/kind", "sieving"),
        ("/pits/0/sorting_minutes", None),
        ("/colour", "red"),
    ],
)
def test_schema_refuses_what_the_version_does_not_allow(
    diggers: Partner, pointer: str, value: Any
) -> None:
    schema = schema_of("species-pit/1")
    name = f"{TEMPLATES}/species-pit/1/sample.ndjson"
    visit = json.loads(diggers.caller.get(name).content.splitlines()[0])

    wrong = put(visit, pointer, value)

    assert jsonschema.Draft202012Validator(schema).is_valid(visit)
    assert not jsonschema.Draft202012Validator(schema).is_valid(wrong)


def test_schema_needs_what_the_version_needs(diggers: Partner) -> None:
    name = f"{TEMPLATES}/species-pit/1/sample.ndjson"
    visit = json.loads(diggers.caller.get(name).content.splitlines()[0])
    validator = jsonschema.Draft202012Validator(schema_of("species-pit/1"))

    assert not validator.is_valid(without(visit, "/pits/0/sorted_to_end"))


def test_schema_of_an_unknown_version_is_not_found(db: None) -> None:  # noqa: ARG001 -- the database is needed
    assert Actor().get("/api/v1/protocols/contrast-pit/9/schema").status_code == 404
