"""Groups are credited by agreement, and named on rows only where that gives no place away."""

from datetime import timedelta

import pytest

from portal.publication.lapsing import Answer, take_answers
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit, Release
from surveys.people.models import Group
from tests.factories.private import load_statements
from tests.portal.publication.villages import FIRST_AT, household, release, village, village_group

ELSEWHERE = {"latitude": "52.7012345"}

DAY = timedelta(days=1)

pytestmark = pytest.mark.django_db


def named() -> set[str | None]:
    found = {
        frozenset(model.objects.values_list("group_code", flat=True).distinct())
        for model in (PublishedVisit, PublishedPit, PublishedCount)
    }
    assert len(found) == 1, "a visit, its pits and its counts say the same"
    return set(found.pop())


@pytest.mark.parametrize(("agreed", "codes"), [(True, {"QVD"}), (False, {None})])
def test_group_is_named_by_agreement_only(codes: set[str | None], *, agreed: bool) -> None:
    village(village_group(named_publicly=agreed), range(5))

    made = release(1)

    assert named() == codes
    credit = [{"code": "QVD", "name": "Quellmoor diggers", "visits": 5}]
    assert made.credits == (credit if agreed else [])


def _two_in_a_cell_of_five(group: Group) -> None:
    village(group, range(5, 7), site=ELSEWHERE)
    other = village_group(code="OTHER")
    village(other, range(7, 10), site=ELSEWHERE)


def test_one_thin_cell_takes_the_name_off_every_row() -> None:
    group = village_group(named_publicly=True)
    village(group, range(5))
    _two_in_a_cell_of_five(group)

    made = release(1)

    assert PublishedVisit.objects.values("cell").distinct().count() == 2
    assert named() == {None}
    assert [credit["visits"] for credit in made.credits] == [7]


def test_several_sites_of_a_household_are_one_unit() -> None:
    group = village_group(named_publicly=True)
    homes = village(group, range(2))
    for number in range(3):
        household(group, 5 + number, person={"household": homes[0].participant.household})
    village(village_group(code="OTHER"), range(20, 23))

    release(1)

    assert PublishedVisit.objects.count() == 8
    assert named() == {None}


def test_name_comes_back_on_the_rows_when_every_cell_is_full() -> None:
    group = village_group(named_publicly=True)
    village(group, range(5))
    _two_in_a_cell_of_five(group)
    release(1)
    household(group, 11, site=ELSEWHERE)

    release(2)

    current = PublishedVisit.objects.at(2)
    assert set(current.filter(group_code="QVD").values_list("cell", flat=True)) == {
        "0.01|52.88|-0.73",
        "0.01|52.70|-0.73",
    }
    assert current.filter(group_code="QVD").count() == 8
    assert not PublishedVisit.objects.at(1).filter(group_code="QVD").exists()


def test_credits_are_in_order_of_the_code() -> None:
    for code in ("ZWD", "ABD"):
        village(village_group(code=code, named_publicly=True), range(3))

    made = release(1)

    assert [(credit["code"], credit["visits"]) for credit in made.credits] == [
        ("ABD", 3),
        ("ZWD", 3),
    ]


def test_credits_follow_what_is_shown_and_come_back_with_it() -> None:
    load_statements()
    person = village(village_group(named_publicly=True), range(4))[0].participant
    release(1)
    credited = []
    for decision, day in (("refused", 1), ("given", 2)):
        answer = Answer("publish", decision, "self", "1")
        take_answers(participant=person, answers=[answer], at=FIRST_AT + day * DAY, by="test")
        credited.append(Release.objects.get(number=1).credits[0]["visits"])

    release(2)

    assert credited == [3, 3]
    assert [one.credits[0]["visits"] for one in Release.objects.all()] == [4, 4]
