"""The key from colour and length, against every row of ``ecological_key.csv``."""

import pytest

from surveys.protocol.vocabulary import EcologicalGroup, LifeStage
from surveys.science.ecological_key import DOUBTS, Assignment, Worm, assign_group, doubts
from tests.reference_tables import rows

TABLE = rows("ecological_key.csv")
ASSIGN = [row for row in TABLE if row["kind"] == "assign"]
CHECK = {row["order"]: row for row in TABLE if row["kind"] == "check"}
NAMES = {
    "11": "overlap",
    "12": "young",
    "13": "adult without saddle",
    "14": "juvenile with saddle",
    "15": "subadult with saddle",
    "16": "long endogeic",
    "17": "short anecic",
    "18": "long epigeic",
    "19": "pale epigeic",
    "20": "pale anecic",
    "21": "pigmented endogeic",
    "22": "very long",
    "23": "very short",
}
SADDLE = {"13": False, "14": True, "15": True}


def lengths(row: dict[str, str]) -> list[int]:
    """Return the limits of a row, both included, or a middling length without limits."""
    limits = [int(row[key]) for key in ("length_from_mm", "length_to_mm") if row[key]]
    return limits or [60]


def worm(row: dict[str, str], length_mm: int | None) -> Worm:
    pigment = "unknown" if row["pigment"] == "any" else row["pigment"]
    stage = "adult" if row["life_stage"] == "any" else row["life_stage"]
    return Worm(pigment, stage, length_mm, SADDLE.get(row["order"]))


def names(seen: Worm, group: str) -> set[str]:
    return {doubt.name for doubt in doubts(seen, group)}


@pytest.mark.parametrize("row", ASSIGN, ids=lambda row: row["order"])
def test_group_matches_the_table_at_both_limits(row: dict[str, str]) -> None:
    for length_mm in lengths(row):
        result = assign_group(worm(row, length_mm))

        assert result.group == row["result_or_recorded_group"]


@pytest.mark.parametrize("order", sorted(NAMES))
def test_doubt_of_the_table_is_raised_at_both_limits(order: str) -> None:
    row = CHECK[order]
    group = row["result_or_recorded_group"].split(" or ")[0]

    for length_mm in lengths(row):
        assert NAMES[order] in names(worm(row, length_mm), group)


def test_every_doubt_of_the_table_is_known_and_no_other() -> None:
    assert set(NAMES) == set(CHECK)
    assert {rule.name for rule in DOUBTS} == set(NAMES.values())


@pytest.mark.parametrize("order", ["16", "17", "18", "22", "23"])
def test_doubt_of_length_is_silent_just_beyond_its_limit(order: str) -> None:
    row = CHECK[order]
    beyond = int(row["length_from_mm"]) - 1 if row["length_from_mm"] else None
    length_mm = int(row["length_to_mm"]) + 1 if beyond is None else beyond

    assert NAMES[order] not in names(worm(row, length_mm), row["result_or_recorded_group"])


@pytest.mark.parametrize(
    ("length_mm", "stage", "group", "certainty", "band"),
    [
        (79, "adult", "epigeic", "usual", ""),
        (80, "adult", "epigeic", "doubtful", "overlap"),
        (150, "subadult", "epigeic", "doubtful", "overlap"),
        (151, "adult", "anecic", "usual", ""),
        (151, "juvenile", "anecic", "usual", ""),
        (40, "juvenile", "epigeic", "doubtful", "young"),
        (120, "juvenile", "epigeic", "doubtful", "young"),
        (None, "adult", "unassigned", "none", ""),
    ],
)
def test_pigmented_worm_is_doubtful_where_the_limit_is_known_to_fail(
    length_mm: int | None, stage: str, group: str, certainty: str, band: str
) -> None:
    result = assign_group(Worm("pigmented", stage, length_mm))

    assert (result.group, result.certainty, result.band) == (group, certainty, band)
    assert result.explanation


@pytest.mark.parametrize("length_mm", [90, 120, 150])
def test_adult_aporrectodea_longa_is_never_given_a_sure_group(length_mm: int) -> None:
    # adults are 90 to 150 mm (Sims and Gerard 1999, from memory) and deep-burrowing: the 150 mm
    # rule alone would file them as litter-dwellers without a word
    result = assign_group(Worm("pigmented", "adult", length_mm))

    assert result.certainty == "doubtful"


def test_egg_and_unseen_colour_get_no_group() -> None:
    assert assign_group(Worm("pale", "egg")).group == "unassigned"
    assert assign_group(Worm("unknown", "adult", 200)) == Assignment(
        "unassigned", "none", "", "no colour noted"
    )


def test_unknown_pigment_word_is_refused() -> None:
    with pytest.raises(ValueError, match="got 'spotted'"):
        assign_group(Worm("spotted", "adult", 60))


@pytest.mark.parametrize(
    ("seen", "group"),
    [
        (Worm("pale", "adult", 60, has_saddle=True), "endogeic"),
        (Worm("pigmented", "adult", 60, has_saddle=True), "epigeic"),
        (Worm("pigmented", "adult", 200, has_saddle=True), "anecic"),
        (Worm("pigmented", "juvenile", 60, has_saddle=False), "unassigned"),
        (Worm("pigmented", "adult", None), "anecic"),
    ],
)
def test_ordinary_worm_raises_no_doubt(seen: Worm, group: str) -> None:
    assert doubts(seen, group) == ()


def test_words_are_those_of_the_vocabulary() -> None:
    groups = {group for rule in DOUBTS for group in rule.groups}
    stages = {rule.stage for rule in DOUBTS if rule.stage}

    assert groups | {"unassigned"} == set(EcologicalGroup.values)
    assert stages < set(LifeStage.values)
