"""What harvesters read before the first release."""

import pytest

from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db


def test_no_release_is_an_empty_list(reader: Actor) -> None:
    assert reader.get("/api/v1/releases").json() == {"data": []}
    assert reader.get("/api/v1/releases/1").status_code == 404
    assert reader.get("/api/v1/releases/1/changes").status_code == 404
