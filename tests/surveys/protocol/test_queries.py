"""Protocol versions by name, and in the order of their numbers."""

import pytest

from surveys.protocol.queries import all_versions, protocol_named, protocol_names
from tests.factories.private import ProtocolVersionFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stored() -> None:
    for key, version in (("b-pit", "1"), ("a-pit", "10"), ("a-pit", "2"), ("a-pit", "1")):
        ProtocolVersionFactory.create(key=key, version=version)


@pytest.mark.usefixtures("stored")
def test_version_is_found_by_key_and_version() -> None:
    found = protocol_named("a-pit/10")

    assert found is not None
    assert (found.key, found.version) == ("a-pit", "10")


@pytest.mark.usefixtures("stored")
@pytest.mark.parametrize(
    "name", ["", "/", "a-pit", "a-pit/", "a-pit/3", "a-pit/2/1", "A-pit/2", "a-pit/02", " a-pit/2"]
)
def test_other_names_find_nothing(name: str) -> None:
    assert protocol_named(name) is None


@pytest.mark.usefixtures("stored")
def test_versions_are_listed_by_number_not_by_letter() -> None:
    expected = ["a-pit/1", "a-pit/2", "a-pit/10", "b-pit/1"]

    assert protocol_names() == expected
    assert [str(version) for version in all_versions()] == expected
