"""Rows of the occurrence file beyond what the conformance checks see."""

import pytest

from portal.archive.edition import edition_of
from portal.archive.occurrence_rows import UnknownVerificationError, occurrence_rows
from portal.archive.protocols import UnknownProtocolError
from portal.archive.reading import PitTree, StepTree, VisitTree
from portal.records.models import PublishedVisit
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    count_of,
    counts_of,
    pit_of,
)

pytestmark = pytest.mark.django_db


def test_blank_lines_have_no_occurrence() -> None:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit)
    step = StepTree(counts_of(pit, "hand_sort", (2, "not_looked_for", "not_entered", 4)))

    rows = occurrence_rows(
        edition_of(ReleaseFactory.create()), VisitTree(visit, [PitTree(pit, [step])])
    )

    assert [(row["occurrenceStatus"], row["individualCount"]) for row in rows] == [
        ("present", 2),
        ("present", 4),
    ]


def test_count_of_a_reviewer_replaces_the_recorded_one() -> None:
    visit = PublishedVisitFactory.create()
    tree = _with_one_count(visit, number=2, number_recorded=9)

    (row,) = occurrence_rows(edition_of(ReleaseFactory.create()), tree)

    assert row["individualCount"] == row["organismQuantity"] == 2


def test_verification_without_an_agreed_word_stops_the_release() -> None:
    tree = _with_one_count(PublishedVisitFactory.create(), verification="looks fine")

    with pytest.raises(UnknownVerificationError, match="looks fine"):
        list(occurrence_rows(edition_of(ReleaseFactory.create()), tree))


def test_protocol_that_the_release_does_not_hold_stops_it() -> None:
    tree = _with_one_count(PublishedVisitFactory.create(), protocol="own-kit/1")

    with pytest.raises(UnknownProtocolError, match="own-kit/1"):
        list(occurrence_rows(edition_of(ReleaseFactory.create()), tree))


def _with_one_count(visit: PublishedVisit, **columns: object) -> VisitTree:
    pit = pit_of(visit)
    return VisitTree(visit, [PitTree(pit, [StepTree([count_of(pit, **columns)])])])
