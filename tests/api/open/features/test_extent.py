"""What a collection covers."""

import pytest

from api.open.features.extent import extent
from tests.factories.published import PublishedVisitFactory, ReleaseFactory, small_release


@pytest.mark.django_db
def test_extent_is_that_of_the_published_cells() -> None:
    small = small_release()

    found = extent(small.release)

    # Cells 0.01|52.88|-0.72 and 0.1|52.8|-0.6: south and west of each, and its step.
    assert found["spatial"]["bbox"] == [[-0.72, 52.8, -0.5, 52.9]]
    assert found["temporal"]["interval"] == [["2025-03-01T00:00:00Z", "2025-03-31T23:59:59Z"]]


@pytest.mark.django_db
def test_release_without_rows_covers_nothing() -> None:
    assert extent(ReleaseFactory.create(number=1)) == {}


@pytest.mark.django_db
def test_extent_moves_with_the_release() -> None:
    small = small_release()
    extent(small.release)
    second = ReleaseFactory.create(number=2)
    PublishedVisitFactory.create(since_release=2, sampled_last_on="2025-07-01")

    assert extent(second)["temporal"]["interval"][0][1] == "2025-07-01T23:59:59Z"
    assert extent(small.release)["temporal"]["interval"][0][1] == "2025-03-31T23:59:59Z"
