"""The definition in OpenAPI 3.0, as clients read it."""

from typing import Any

import pytest
from openapi_spec_validator import OpenAPIV30SpecValidator

from api.open.features.collections import COLLECTIONS
from api.open.features.definition import definition
from tests.journeys.actors import Actor


@pytest.fixture
def document() -> Any:
    return definition()


# OpenAPI 3.0.3, by an independent validator.
def test_definition_is_valid(document: Any) -> None:
    assert [error.message for error in OpenAPIV30SpecValidator(document).iter_errors()] == []
    assert document["openapi"] == "3.0.3"
    del document["paths"]["/"]["get"]["responses"]
    assert list(OpenAPIV30SpecValidator(document).iter_errors())


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_path_is_the_one_that_clients_look_for(document: Any, collection: str) -> None:
    """Under any other key GDAL loads everything and filters itself (design, section 14)."""
    assert document["servers"] == [{"url": "http://localhost:8000/features"}]
    assert f"/collections/{collection}/items" in document["paths"]


def test_parameters_are_those_of_the_standard(document: Any) -> None:
    """OGC API - Features Part 1, requirements for limit, bbox and datetime."""
    parameters = document["components"]["parameters"]

    limit = parameters["limit"]["schema"]
    assert (limit["minimum"], limit["maximum"], limit["default"]) == (1, 10_000, 1000)
    assert parameters["bbox"]["schema"]["oneOf"] == [
        {"minItems": 4, "maxItems": 4},
        {"minItems": 6, "maxItems": 6},
    ]
    for name in ("limit", "bbox", "datetime"):
        assert parameters[name]["in"] == "query"
        assert (parameters[name]["style"], parameters[name]["explode"]) == ("form", False)


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_every_declared_parameter_is_taken_and_no_other(
    reader: Actor, document: Any, collection: str
) -> None:
    listed = document["paths"][f"/collections/{collection}/items"]["get"]["parameters"]
    names = [one.get("name") or one["$ref"].rpartition("/")[2] for one in listed]

    answer = reader.get(f"/features/collections/{collection}/items?colour=red")

    assert sorted(answer.json()["allowed"]) == sorted(names)
    assert "sampled_on" not in names, "a condition on the day comes as datetime"


@pytest.mark.usefixtures("small")
def test_paths_are_those_that_are_served(reader: Actor, document: Any) -> None:
    item = reader.get("/features/collections/pits/items").json()["features"][0]["id"]

    for path in document["paths"]:
        if path.endswith("{featureId}") and "pits" not in path:
            continue
        address = path.removesuffix("/") if path == "/" else path.replace("{featureId}", item)
        assert reader.get(f"/features{address}").status_code == 200, path
