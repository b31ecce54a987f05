"""The calendar of visits."""

from collections import Counter
from dataclasses import replace

import pytest

from portal.demo.region import AUTUMN, GROUPS, SPRING
from portal.demo.visits import Outing, outings

NEWCOMERS = {"QVD-19", "QVD-20", "QVD-21", "QVD-22"}


@pytest.fixture(scope="module")
def drawn() -> list[Outing]:
    return outings(318)


def test_plan_has_152_visits_291_pits_and_13_unpaired_visits(drawn: list[Outing]) -> None:
    assert Counter(outing.season.letter for outing in drawn) == {"A": 70, "S": 82}
    assert sum(len(outing.grounds) for outing in drawn) == 291
    assert sum(len(outing.grounds) == 1 for outing in drawn) == 13


def test_visits_take_turns_so_that_the_first_twenty_show_every_group(drawn: list[Outing]) -> None:
    first = Counter(outing.group for outing in drawn[:20])

    assert first == {"QVD": 5, "OPL": 5, "BSC": 5, "VFR": 5}


def test_visits_lie_in_their_season(drawn: list[Outing]) -> None:
    for season in (AUTUMN, SPRING):
        days = [outing.visited_on for outing in drawn if outing.season == season]
        assert season.first_on <= min(days)
        assert max(days) <= season.last_on


def test_school_visits_are_on_school_days(drawn: list[Outing]) -> None:
    assert all(outing.visited_on.weekday() < 5 for outing in drawn if outing.group == "BSC")


def test_kits_follow_group_and_season(drawn: list[Outing]) -> None:
    assert Counter(outing.kit for outing in drawn) == {
        "contrast-pit/1": 62,
        "contrast-pit/2": 60,
        "school-pit/1": 18,
        "species-pit/1": 12,
    }


def test_nobody_pours_at_school(drawn: list[Outing]) -> None:
    assert not any(outing.poured for outing in drawn if outing.group == "BSC")


def test_people_dig_only_while_they_are_in_the_group(drawn: list[Outing]) -> None:
    assert all(outing.recorder.is_active(outing.visited_on) for outing in drawn)


def test_some_places_are_dug_again_in_spring(drawn: list[Outing]) -> None:
    autumn = {outing.place.code for outing in drawn if outing.season == AUTUMN}
    again = [outing for outing in drawn if outing.season == SPRING and outing.place.code in autumn]

    assert len(again) >= 20


def test_more_people_take_only_what_they_win(
    drawn: list[Outing], monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = GROUPS["QVD"]
    monkeypatch.setitem(GROUPS, "QVD", replace(plan, people=plan.people + 4))

    more = outings(318)

    won = {outing.ref for outing in more if outing.recorder.code in NEWCOMERS}
    assert won
    assert _who(more, won) == _who(drawn, won)


def _who(visits: list[Outing], without: set[str]) -> list[tuple[str, str, object]]:
    return [(o.ref, o.recorder.code, o.visited_on) for o in visits if o.ref not in without]
