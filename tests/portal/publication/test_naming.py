"""Named on opt-in from the next release on; the name goes at once, from old releases too."""

import csv
import io
import zipfile
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.files.storage import default_storage

from portal.publication.lapsing import Answer, take_answers
from portal.records.changes import Position, read_feed
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit, ReleaseFile
from surveys.people.models import Participant
from tests.factories.private import ConsentFactory, load_statements
from tests.portal.publication.villages import (
    FIRST_AT,
    Household,
    release,
    village,
    village_group,
)

pytestmark = pytest.mark.django_db

NAME, ORCID = "Mara Quill", "0000-0002-1825-0097"
LATER = FIRST_AT + timedelta(days=5)


@pytest.fixture
def homes() -> list[Household]:
    """Make a village of five without a release."""
    load_statements()
    return village(village_group(), range(5))


def agree_to_be_named(home: Household, **facts: Any) -> None:
    described = {"shown_name": NAME, "orcid": ORCID} | facts
    Participant.objects.filter(pk=home.participant.pk).update(**described)
    ConsentFactory.create(participant=home.participant, purpose="be_named")


def names(number: int) -> list[set[tuple[str | None, str | None]]]:
    return [
        set(table.objects.at(number).values_list("recorded_by", "recorded_by_id"))
        for table in (PublishedVisit, PublishedPit, PublishedCount)
    ]


def written(number: int) -> set[tuple[str, str]]:
    """Return names and addresses in the newest archive of a release."""
    files = ReleaseFile.objects.filter(release=number, name="archive.zip", gone_at=None)
    with default_storage.open(files.get().storage_name) as stored, zipfile.ZipFile(stored) as bag:
        text = io.StringIO(bag.read("occurrence.txt").decode())
    rows = csv.DictReader(text, delimiter="\t", quoting=csv.QUOTE_NONE)
    return {(row["recordedBy"], row["recordedByID"]) for row in rows}


NOBODY = {(None, None)}
SOMEBODY = {(NAME, f"https://orcid.org/{ORCID}"), *NOBODY}


def test_nobody_is_named_unless_they_agreed(homes: list[Household]) -> None:
    Participant.objects.update(shown_name=NAME)

    release(1)

    assert names(1) == [NOBODY] * 3
    assert written(1) == {("Example Soil Survey Consortium volunteers", "")}
    assert len(homes) == 5


def test_who_agreed_is_named_from_the_next_release_on(homes: list[Household]) -> None:
    release(1)
    agree_to_be_named(homes[0])

    release(2)

    assert names(1) == [NOBODY] * 3
    assert names(2) == [SOMEBODY] * 3
    assert written(2) == {
        (NAME, f"https://orcid.org/{ORCID}"),
        ("Example Soil Survey Consortium volunteers", ""),
    }


def test_name_goes_at_once_from_every_release_and_the_records_stay(
    homes: list[Household],
) -> None:
    agree_to_be_named(homes[0])
    release(1)
    no = Answer("be_named", "withdrawn", "self", "")

    take_answers(participant=homes[0].participant, answers=[no], at=LATER, by="group QVD")

    assert names(1) == [NOBODY] * 3
    assert written(1) == {("Example Soil Survey Consortium volunteers", "")}
    assert PublishedVisit.objects.at(1).count() == 5
    homes[0].visit.refresh_from_db()
    told = [(one.kind, one.change, one.id) for one in read_feed(Position(1), limit=99).changes]
    assert ("visit", "changed", homes[0].visit.public_id) in told
    assert {change for _, change, _ in told} == {"changed"}
    release(2)
    assert names(2) == [NOBODY] * 3


@pytest.mark.parametrize("facts", [{"shown_name": ""}, {"born_on": date(2010, 5, 1)}])
def test_who_has_no_name_to_show_or_is_under_age_is_not_named(
    homes: list[Household], facts: dict[str, Any]
) -> None:
    agree_to_be_named(homes[0], **facts)
    for purpose in ("publish", "be_named"):
        ConsentFactory.create(
            participant=homes[0].participant, purpose=purpose, given_by="guardian"
        )

    release(1)

    assert names(1) == [NOBODY] * 3


def test_nobody_is_named_on_the_ground_of_a_school() -> None:
    load_statements()
    homes = village(village_group(), range(6), site={"place_kind": "school_ground"})
    agree_to_be_named(homes[0])

    release(1)

    assert names(1)[0] <= NOBODY
