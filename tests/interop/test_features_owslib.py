"""OWSLib as a client of the features: every call that it has for them."""

from typing import Any

import pytest
from owslib.ogcapi.features import Features

from tests.factories.published import SmallRelease
from tests.interop.clients import asked_of_us

pytestmark = pytest.mark.usefixtures("released")


@pytest.fixture
def client(served: str) -> Any:
    """Return the client; it asks for the address with a slash at its end."""
    return Features(f"{served}/")


def test_landing_page_leads_to_conformance_and_definition(client: Any, served: str) -> None:
    assert client.conformance()["conformsTo"]
    assert client.api()["openapi"] == "3.0.3"
    assert client.api()["servers"] == [{"url": served}]


def test_collections_are_found_as_features(client: Any) -> None:
    assert client.feature_collections() == ["visits", "pits", "occurrences"]
    assert client.collection("pits")["id"] == "pits"


def test_items_are_counted_and_filtered_as_by_us(client: Any, served: str) -> None:
    items = f"{served}/collections/pits/items"

    found = client.collection_items("pits", limit=3)
    boxed = client.collection_items("pits", bbox=[-1, 52.05, 0, 52.1])
    dated = client.collection_items("pits", datetime_="2025-04-07/2025-04-20")
    equal = client.collection_items("pits", habitat="hedge")

    assert (found["numberReturned"], len(found["features"])) == (3, 3)
    assert found["numberMatched"] == asked_of_us(items)["numberMatched"]
    assert (
        boxed["numberMatched"] == asked_of_us(items, bbox="-1,52.05,0,52.1")["numberMatched"] == 5
    )
    assert dated["numberMatched"] == 14
    assert equal["numberMatched"] == asked_of_us(items, habitat="hedge")["numberMatched"] == 2


def test_single_item_is_the_listed_one(client: Any, released: SmallRelease) -> None:
    pit = str(released.pits[-1].id)

    found = client.collection_item("pits", pit)

    (listed,) = [one for one in client.collection_items("pits")["features"] if one["id"] == pit]
    assert {name: found[name] for name in listed} == listed
    assert found["properties"]["depth_cm"] == 2.75


def test_unknown_parameter_is_told_as_an_error(client: Any) -> None:
    with pytest.raises(RuntimeError, match="colour"):
        client.collection_items("pits", colour="red")
