"""Rows follow consent at once, in every release, and come back when it is given anew."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.core.management import call_command

from portal.publication.lapsing import Answer, hide_lapsed, take_answers
from portal.records.changes import Position, read_feed
from portal.records.models import (
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    ReleaseFile,
    Tombstone,
)
from surveys.audit.models import AuditEntry
from surveys.people.models import Consent
from surveys.people.operations import AnswerNotTaken
from tests.factories.private import ConsentFactory, VisitFactory, load_statements
from tests.portal.publication.villages import (
    FIRST_AT,
    Household,
    dig,
    household,
    release,
    village,
    village_group,
)

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
LATER = FIRST_AT + 5 * DAY
ENDS_ON = (FIRST_AT + 3 * DAY).date()
NO = Answer("publish", "refused", "self", "1")
YES = Answer("publish", "given", "self", "1")


@pytest.fixture
def homes() -> list[Household]:
    """Make a village of five, with a release."""
    load_statements()
    made = village(village_group(), range(5))
    release(1)
    return made


def answer(home: Household, said: Answer, at: Any = LATER) -> None:
    take_answers(participant=home.participant, answers=[said], at=at, by="group QVD")


def shown(number: int = 1) -> set[Any]:
    return set(PublishedVisit.objects.at(number).values_list("id", flat=True))


def public_id(home: Household) -> Any:
    home.visit.refresh_from_db()
    return home.visit.public_id


def news(since: int) -> list[tuple[str, str, Any]]:
    page = read_feed(Position(since), limit=100)
    return [(one.kind, one.change, one.id) for one in page.changes if one.kind == "visit"]


def test_stricter_answer_hides_a_persons_rows_at_once_in_every_release(
    homes: list[Household],
) -> None:
    release(2)
    gone = public_id(homes[0])

    answer(homes[0], NO, FIRST_AT + 40 * DAY)

    for number in (1, 2):
        assert gone not in shown(number)
        assert len(shown(number)) == 4
        for table in (PublishedPit, PublishedCount):
            assert not table.objects.at(number).filter(visit_id=gone).exists()
    assert not Tombstone.objects.exists()


def test_feed_tells_that_the_record_was_removed(homes: list[Household]) -> None:
    answer(homes[0], NO)

    assert news(1) == [("visit", "removed", public_id(homes[0]))]


def test_old_files_are_gone_and_new_ones_stand_without_the_rows(homes: list[Household]) -> None:
    answer(homes[0], NO)

    files = ReleaseFile.objects.filter(name="archive.zip").order_by("build")
    assert [file.gone_at for file in files] == [LATER, None]
    assert files[1].rows["event.txt"] < files[0].rows["event.txt"]


def test_trail_tells_it_without_naming_anybody(homes: list[Household]) -> None:
    answer(homes[0], NO)

    entry = AuditEntry.objects.get(action="hidden for lack of consent")
    assert (entry.actor, entry.detail) == ("group QVD", {"visits": 1, "names": 0})


def test_answer_that_changes_nothing_rebuilds_nothing(homes: list[Household]) -> None:
    files = ReleaseFile.objects.count()

    answer(homes[0], YES)
    answer(homes[1], Answer("photos", "refused", "self", "1"))

    assert len(shown()) == 5
    assert ReleaseFile.objects.count() == files
    assert news(1) == []


def test_yes_that_cannot_count_leaves_everything_as_it_was(homes: list[Household]) -> None:
    answers = [NO, Answer("photos", "given", "self", "99")]

    with pytest.raises(AnswerNotTaken):
        take_answers(participant=homes[0].participant, answers=answers, at=LATER, by="group QVD")

    assert len(shown()) == 5
    assert Consent.objects.filter(decision="refused").count() == 0


def test_consent_that_ended_by_itself_is_hidden_by_the_daily_run(
    homes: list[Household], capsys: pytest.CaptureFixture[str]
) -> None:
    ConsentFactory.create(participant=homes[0].participant, ends_on=ENDS_ON, decided_at=FIRST_AT)

    assert hide_lapsed(at=FIRST_AT + 2 * DAY, by="test") == 0
    call_command("hidelapsed")

    assert public_id(homes[0]) not in shown()
    assert capsys.readouterr().out == "1 visits hidden.\n"
    assert hide_lapsed(at=FIRST_AT + 400 * DAY, by="test") == 0


def test_release_hides_what_lapsed_from_earlier_ones_too(homes: list[Household]) -> None:
    ConsentFactory.create(participant=homes[0].participant, ends_on=ENDS_ON, decided_at=FIRST_AT)

    release(2)

    assert public_id(homes[0]) not in shown(1) | shown(2)
    assert news(1) == [("visit", "removed", public_id(homes[0]))]


def test_rows_come_back_with_the_next_release_after_consent_was_given_anew(
    homes: list[Household],
) -> None:
    answer(homes[0], NO)
    answer(homes[0], YES, LATER + DAY)
    assert public_id(homes[0]) not in shown()

    release(2)

    assert public_id(homes[0]) in shown(1) & shown(2)
    assert ("visit", "added", public_id(homes[0])) in news(2)


def test_rows_come_back_even_after_a_release_without_them(homes: list[Household]) -> None:
    answer(homes[0], NO)
    release(2)
    answer(homes[0], YES, FIRST_AT + 40 * DAY)

    release(3)

    back = public_id(homes[0])
    assert [back in shown(number) for number in (1, 2, 3)] == [True, False, True]


def test_other_visit_at_the_same_site_does_not_bring_a_lapsed_one_back(
    homes: list[Household],
) -> None:
    other = VisitFactory.create(
        participant=homes[1].participant,
        site=homes[0].site,
        group=homes[0].visit.group,
        client_ref="V99",
        state="accepted",
    )
    dig(other, 1, "lawn", animals=2)
    answer(homes[0], NO)

    release(2)

    other.refresh_from_db()
    assert other.public_id in shown(2)
    assert public_id(homes[0]) not in shown(1) | shown(2)


def test_those_who_are_left_in_too_small_a_group_are_hidden_too(homes: list[Household]) -> None:
    for home in homes[:3]:
        answer(home, NO)

    assert shown() == set()


def test_birthday_hides_by_itself_and_the_persons_own_yes_shows_again() -> None:
    load_statements()
    group = village_group()
    village(group, range(4))
    ends = FIRST_AT + 10 * DAY
    grown = household(group, 9, person={"born_on": date(ends.year - 18, ends.month, ends.day)})
    ConsentFactory.create(participant=grown.participant, given_by="guardian")
    release(1)
    assert public_id(grown) in shown()

    hide_lapsed(at=ends.replace(hour=0), by="daily run")
    assert public_id(grown) not in shown()
    answer(grown, YES, ends + DAY)
    release(2)

    assert public_id(grown) in shown(1) & shown(2)
