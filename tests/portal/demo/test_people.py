"""The people of the groups."""

from collections import Counter
from dataclasses import replace

from portal.demo.people import all_people, is_pupil, people_of
from portal.demo.region import GROUPS


def test_people_are_62_and_one_of_them_stands_in_two_groups() -> None:
    people = all_people(318)

    assert len({person.code for person in people}) == 62
    assert [p.group for p in people if p.code == "QVD-12"] == ["QVD", "OPL"]


def test_school_has_two_teachers_and_14_pupils_of_one_institution() -> None:
    people = people_of(GROUPS["BSC"], 221)

    assert [p.code for p in people if not is_pupil(p.code)] == ["BSC-T1", "BSC-T2"]
    assert len([p for p in people if is_pupil(p.code) and p.born_on is not None]) == 14
    assert {person.household for person in people} == {"BSC-school"}


def test_eleven_farmers_work_nine_farms() -> None:
    farms = Counter(person.household for person in people_of(GROUPS["VFR"], 221))

    assert (len(farms), sum(farms.values())) == (9, 11)


def test_verifier_lives_with_a_recorder() -> None:
    homes = {person.code: person.household for person in people_of(GROUPS["QVD"], 221)}

    assert homes["QVD-04"] == homes["QVD-05"]


def test_one_more_person_changes_nobody_else() -> None:
    plan = GROUPS["QVD"]

    more = people_of(replace(plan, people=plan.people + 1), 221)

    assert [person for person in more if person.code != "QVD-19"] == people_of(plan, 221)


def test_tagged_people_are_others_with_other_codes() -> None:
    first = {person.code for person in all_people(318)}
    second = all_people(222, ".222")

    assert first.isdisjoint(person.code for person in second)
    assert all(person.household.endswith(".222") for person in second)
