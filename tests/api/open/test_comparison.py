"""Two sets of pits compared through HTTP."""

import csv
import io
from typing import Any

import pytest

from portal.statistics.contrasts import NO_OTHER_SIDE, NO_PAIR
from portal.statistics.tallies import KEPT_APART
from tests.factories.pairs import BED, LAWN, UNDRENCHED, dig, dig_pairs
from tests.factories.published import PublishedVisitFactory, ReleaseFactory
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db

PAIRS = ((9, 3), (12, 5), (6, 2), (20, 6), (3, 1), (14, 4), (8, 4), (11, 2))
GARDEN = {"by": "habitat", "first": "lawn", "second": "flower bed"}
KIT = "contrast-pit/1 + contrast-pit/2"


def compare(**parameters: Any) -> Any:
    return Actor().client.get("/api/v1/comparison", GARDEN | parameters)


@pytest.fixture
def eight_pairs() -> None:
    ReleaseFactory.create(number=1)
    dig_pairs(PAIRS)


@pytest.mark.usefixtures("eight_pairs")
def test_comparison_answers_every_part_of_the_finding() -> None:
    (found,) = compare().json()["data"]

    assert (found["kit"], found["steps"]) == (KIT, "hand_sort + expellant")
    assert (found["first"], found["second"], found["pairing"]) == ("lawn", "flower bed", "paired")
    assert (found["n"], found["n_visits"], found["n_sites"]) == (8, 8, 8)
    assert (found["first_count"], found["first_area_m2"], found["first_per_m2"]) == (
        83,
        0.32,
        259.38,
    )
    # With equal areas the Mantel-Haenszel rate ratio is that of the sums: 83 / 27
    assert found["ratio"] == 3.074
    assert 1 < found["lower"] < found["ratio"] < found["upper"]
    assert found["p_value"] == found["p_adjusted"] < 0.05
    assert found["outcome"] == "clear"
    assert found["method"].startswith("Mantel-Haenszel")
    assert found["sentence"].startswith("More in lawn: 3.07 times as many animals per m2")
    assert found["caution"] == ""


@pytest.mark.usefixtures("eight_pairs")
def test_comparison_has_the_frame_of_every_open_answer() -> None:
    answer = compare(stage="adult")

    body = answer.json()
    assert body["meta"]["query"] == (
        "/api/v1/comparison?by=habitat&first=lawn&release=1&second=flower+bed&stage=adult"
    )
    assert body["meta"]["license"]["id"] == "CC-BY-4.0"
    assert body["meta"]["citation"].endswith("/releases/1")
    assert body["sentence"].startswith(f"{KIT}, sorted by hand and drenched: More in lawn")
    assert body["kept_apart"] == KEPT_APART
    assert body["pits_left_out"] == {}
    assert body["cautions"] == []
    assert 'rel="license"' in answer.headers["Link"]


@pytest.mark.usefixtures("eight_pairs")
def test_comparison_is_not_sent_again_to_who_holds_it() -> None:
    etag = compare().headers["ETag"]

    again = Actor().client.get("/api/v1/comparison", GARDEN, headers={"If-None-Match": etag})

    assert (again.status_code, again.content) == (304, b"")
    assert compare(pairing="unpaired").headers["ETag"] != etag


@pytest.mark.usefixtures("eight_pairs")
def test_comparison_as_csv_holds_the_same_figures() -> None:
    answer = compare(f="csv")

    (row,) = csv.DictReader(io.StringIO(answer.content.decode()))
    (found,) = compare().json()["data"]
    assert answer.headers["Content-Type"].startswith("text/csv")
    assert row == {name: str(value) for name, value in found.items()}


@pytest.mark.usefixtures("eight_pairs")
def test_comparison_by_management_and_its_opposite() -> None:
    mown = compare(by="management", first="mown", second="mulched").json()["data"]
    opposite = compare(by="management", first="not mulched", second="mulched").json()["data"]

    assert [found["ratio"] for found in (*mown, *opposite)] == [3.074, 3.074]
    assert opposite[0]["first"] == "ground not mulched"


def test_comparison_of_seasons_is_unpaired() -> None:
    ReleaseFactory.create(number=1)
    dig_pairs(PAIRS, season="spring")
    dig_pairs(PAIRS, season="autumn")

    (found,) = compare(by="season", first="spring", second="autumn").json()["data"]

    assert (found["pairing"], found["n"], found["ratio"]) == ("unpaired", 32, 1.0)
    assert found["outcome"] == "spans_one"


def test_comparison_by_moisture_takes_several_words() -> None:
    ReleaseFactory.create(number=1)
    dig_pairs(PAIRS, first=LAWN | {"moisture": "dry"}, second=BED | {"moisture": "moist"})
    dig_pairs([(1, 1)], moisture="not_looked_for")

    body = compare(by="moisture", first="dry", second="moist,slightly moist").json()

    (found,) = body["data"]
    assert (found["second"], found["ratio"]) == ("moist or slightly moist soil", 3.074)
    assert body["pits_left_out"] == {"moisture not looked for": 2}


def test_comparison_keeps_kits_and_steps_apart() -> None:
    ReleaseFactory.create(number=1)
    dig_pairs(PAIRS)
    dig_pairs(PAIRS, **UNDRENCHED)
    dig_pairs(PAIRS, protocol="contrast-pit/1")  # marks version 2 as comparable, and back
    dig_pairs(PAIRS, protocol="species-pit/1")

    ways = [(one["kit"], one["steps"], one["n"]) for one in compare().json()["data"]]

    assert ways == [
        (KIT, "hand_sort", 8),
        (KIT, "hand_sort + expellant", 16),
        ("species-pit/1", "hand_sort + expellant", 8),
    ]


def test_comparison_refuses_to_pool_what_does_not_compare() -> None:
    ReleaseFactory.create(number=1)
    dig_pairs(PAIRS)
    dig_pairs(PAIRS, protocol="school-pit/1", **UNDRENCHED)

    refused = compare(pool="true")
    chosen = compare(pool="true", protocol="school-pit/1")

    assert refused.status_code == 400
    problem = refused.json()
    assert problem["parameter"] == "pool"
    assert KEPT_APART in problem["detail"]
    assert [way["kit"] for way in problem["ways"]] == [KIT, "school-pit/1"]
    assert [one["kit"] for one in chosen.json()["data"]] == ["school-pit/1"]


def test_comparison_says_which_pits_were_left_out() -> None:
    ReleaseFactory.create(number=1)
    dig_pairs(PAIRS)
    alone = PublishedVisitFactory.create()
    dig(alone, 4, **LAWN)
    dig(alone, 4, habitat="hedge")  # on neither side: part of another question
    dig(alone, None, **LAWN)
    dig(alone, 4, **LAWN, effort_known=False)
    dig(alone, 4, **LAWN, **UNDRENCHED)

    left_out = compare(pairing="paired").json()["pits_left_out"]

    assert left_out == {"effort unknown": 1, "not entered": 1, NO_OTHER_SIDE: 1, NO_PAIR: 1}


def test_comparison_without_both_sides_says_so() -> None:
    ReleaseFactory.create(number=1)

    body = compare().json()

    assert body["data"] == []
    assert "nothing can be compared" in body["sentence"]


def test_comparison_of_the_recorder_s_numbers() -> None:
    ReleaseFactory.create(number=1)
    for in_lawn, in_bed in PAIRS:
        visit = PublishedVisitFactory.create()
        dig(visit, in_lawn, **LAWN, recorded=2 * in_lawn)
        dig(visit, in_bed, **BED)

    verified, recorded = compare().json(), compare(numbers="recorded").json()

    assert verified["data"][0]["ratio"] == 3.074
    assert recorded["data"][0]["ratio"] == 6.148
    assert recorded["meta"]["query"].endswith(
        "first=lawn&numbers=recorded&release=1&second=flower+bed"
    )


@pytest.mark.usefixtures("eight_pairs")
def test_comparison_of_counts_chosen_by_their_result_carries_a_caution() -> None:
    (caution,) = compare(min_number=1, state="counted").json()["cautions"]

    assert "(state, min_number)" in caution


@pytest.mark.usefixtures("eight_pairs")
@pytest.mark.parametrize(
    ("parameters", "named", "allowed"),
    [
        ({"by": "colour"}, "by", "habitat or management or moisture or season"),
        ({"first": "meadow"}, "first", "hay meadow"),
        ({"second": ""}, "second", "flower bed"),
        ({"second": "not flower bed"}, "second", "without lawn"),
        ({"by": "moisture", "first": "not_looked_for", "second": "dry"}, "first", "waterlogged"),
        ({"pairing": "maybe"}, "pairing", "auto or paired or unpaired"),
        ({"numbers": "both"}, "numbers", "verified or recorded"),
        ({"pool": "yes"}, "pool", "false or true"),
        (
            {"by": "season", "first": "spring", "second": "autumn", "pairing": "paired"},
            "pairing",
            "a visit has only one",
        ),
        ({"habitat": "meadow"}, "habitat", "lawn"),
    ],
)
def test_comparison_refuses_wrong_values_with_what_is_allowed(
    parameters: dict[str, str], named: str, allowed: str
) -> None:
    answer = compare(**parameters)

    assert answer.status_code == 400
    assert answer.json()["parameter"] == named
    assert allowed in answer.json()["allowed"]


@pytest.mark.usefixtures("eight_pairs")
def test_comparison_refuses_an_unknown_parameter_with_the_nearest_known() -> None:
    answer = compare(pairig="auto")

    assert (answer.status_code, answer.json()["nearest"]) == (400, "pairing")


@pytest.mark.usefixtures("eight_pairs")
def test_summary_takes_the_recorder_s_numbers_too() -> None:
    visit = PublishedVisitFactory.create()
    dig(visit, 1, **LAWN, recorded=101)
    client = Actor().client

    verified = client.get("/api/v1/summary", {"habitat": "lawn"}).json()
    recorded = client.get("/api/v1/summary", {"habitat": "lawn", "numbers": "recorded"}).json()

    assert [verified["data"][0]["total_count"], recorded["data"][0]["total_count"]] == [84, 184]
    assert verified["data"][0]["sentence"].startswith("lawn: 233 animals per m2 (95 % interval")
    assert recorded["meta"]["query"] == (
        "/api/v1/summary?by=habitat&habitat=lawn&numbers=recorded&release=1"
    )
