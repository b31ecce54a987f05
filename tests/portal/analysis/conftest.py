"""A release in which tillage shows and a garden contrast does not."""

import pytest

from portal.records.models import Release
from tests.factories.pairs import BED, LAWN, UNDRENCHED, dig, dig_pairs
from tests.factories.published import PublishedVisitFactory, ReleaseFactory, count_of, pit_of

DRILLED = {"habitat": "crop field", "management": ["direct drilled"]}
PLOUGHED = {"habitat": "crop field", "management": ["ploughed"]}
MORE_AND_LESS = ((9, 3), (12, 5), (6, 2), (20, 6), (3, 1), (14, 4), (8, 4), (11, 2))
ALIKE = ((9, 8), (12, 14), (6, 3), (10, 12), (3, 6), (4, 9), (8, 13), (11, 7))


@pytest.fixture
def release(db: None) -> Release:  # noqa: ARG001 -- the database is needed
    """Return the release; its deep animals were looked for in two lawns and a school's hedge."""
    made: Release = ReleaseFactory.create(number=1)
    dig_pairs(MORE_AND_LESS, first=DRILLED, second=PLOUGHED, moisture="wet")
    dig_pairs(ALIKE, first=LAWN | {"moisture": "moist"}, second=BED | {"moisture": "wet"})
    dig(PublishedVisitFactory.create(), 4, **LAWN, moisture="dry")
    for number in (0, 2):
        lawn = pit_of(PublishedVisitFactory.create(), **LAWN, moisture=None)
        count_of(lawn, method="expellant", group="anecic", number=number, number_recorded=number)
    school = {"habitat": "hedge", "protocol": "school-pit/1", "moisture": None}
    hedge = pit_of(PublishedVisitFactory.create(), **school, **UNDRENCHED)
    count_of(hedge, group="anecic", number=0, number_recorded=0)
    return made
