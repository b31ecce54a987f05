"""Pooled densities, against check values of plain arithmetic worked out apart."""

from typing import Any

import pytest

from portal.records.models import PublishedCount, PublishedPit
from portal.records.summaries import GROUPINGS
from tests.factories.published import (
    PublishedCountFactory,
    PublishedPitFactory,
    PublishedVisitFactory,
    ReleaseFactory,
    count_of,
    pit_of,
)
from tests.journeys.actors import Actor
from tests.reference_tables import document

CHECKS = document("density_checks.json")
POOLED = CHECKS["pooled"][0]
NOTHING: dict[str, Any] = {"number": None, "number_recorded": None}

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def release(db: None) -> None:  # noqa: ARG001 -- the database is needed
    """Make the release that the rows stand in."""
    ReleaseFactory.create(number=1)


def pit(number: int, area_m2: float = 0.04, **columns: Any) -> None:
    """Make a pit of one counted line, drenched unless said otherwise."""
    made = PublishedPitFactory.create(area_m2=area_m2, **columns)
    PublishedCountFactory.create(
        pit_id=made.id,
        visit_id=made.visit_id,
        area_m2=area_m2,
        number=number,
        number_recorded=number,
        **columns,
    )


def summary(reader: Actor, query: str = "") -> dict[str, Any]:
    answer = reader.get(f"/api/v1/summary?{query}")
    assert answer.status_code == 200, answer.json()
    body: dict[str, Any] = answer.json()
    return body


def test_density_is_the_sum_of_counts_over_the_sum_of_areas(reader: Actor) -> None:
    for check in POOLED["pits"]:
        pit(check["count"], check["area_m2"])

    body = summary(reader)

    (group,) = body["data"]
    assert group["density_per_m2"] == pytest.approx(POOLED["pooled_per_m2"], abs=0.005)
    assert group["density_per_m2"] != pytest.approx(POOLED["mean_of_densities_wrong"], abs=1)
    assert (group["n_pits"], group["n_visits"], group["total_count"]) == (3, 3, 16)
    assert group["total_area_m2"] == 0.1425
    assert group["lower_per_m2"] < group["density_per_m2"] < group["upper_per_m2"]
    assert group["interval"].startswith("95 percent, ")
    assert "sum of counts / sum of areas" in body["formula"]
    assert body["unit"] == "animals per m2"


@pytest.mark.parametrize("check", CHECKS["single"])
def test_density_of_one_pit(reader: Actor, check: dict[str, float]) -> None:
    pit(int(check["count"]), check["area_m2"])

    (group,) = summary(reader)["data"]

    assert group["density_per_m2"] == pytest.approx(check["individuals_per_m2"], abs=0.005)


def test_empty_pits_give_the_published_upper_limit(reader: Actor) -> None:
    zero = CHECKS["zero"]
    for _ in range(zero["pits"]):
        pit(zero["count"], zero["area_each_m2"])

    (group,) = summary(reader)["data"]

    assert (group["density_per_m2"], group["lower_per_m2"]) == (0, 0)
    assert group["upper_per_m2"] == pytest.approx(zero["upper95_two_sided_per_m2"], abs=0.005)


def test_lines_of_a_pit_are_added_before_pits_are_pooled(reader: Actor) -> None:
    made = pit_of(PublishedVisitFactory.create())
    for number, stage in ((3, "adult"), (5, "juvenile"), (0, "subadult")):
        count_of(made, number=number, number_recorded=number, stage=stage)

    (group,) = summary(reader)["data"]
    (adults,) = summary(reader, "stage=adult")["data"]

    assert (group["n_pits"], group["total_count"], group["total_area_m2"]) == (1, 8, 0.04)
    assert (adults["n_pits"], adults["total_count"]) == (1, 3)


def test_kits_are_pooled_only_if_both_mark_the_other(reader: Actor) -> None:
    pit(1, protocol="contrast-pit/1")
    pit(2, protocol="contrast-pit/2")
    pit(4, protocol="species-pit/1")

    body = summary(reader)

    counts = {group["kit"]: group["total_count"] for group in body["data"]}
    assert counts == {"contrast-pit/1 + contrast-pit/2": 3, "species-pit/1": 4}
    assert "never pooled" in body["kept_apart"]


def test_pits_sorted_only_and_drenched_pits_are_never_pooled(reader: Actor) -> None:
    pit(1, expellant="done")
    pit(2, expellant="not_done")

    counts = {group["steps"]: group["total_count"] for group in summary(reader)["data"]}

    assert counts == {"hand_sort + expellant": 1, "hand_sort": 2}


def test_pits_left_out_are_counted_by_reason(reader: Actor) -> None:
    pit(1)
    for _ in range(2):
        pit(1, effort_known=False)
    half = pit_of(PublishedVisitFactory.create())
    count_of(half, number=7)
    count_of(half, stage="juvenile", state="not_entered", **NOTHING)
    count_of(pit_of(PublishedVisitFactory.create()), state="not_looked_for", **NOTHING)

    body = summary(reader)

    assert body["pits_left_out"] == {"effort unknown": 2, "not entered": 1, "not looked for": 1}
    assert [group["n_pits"] for group in body["data"]] == [1]


def test_line_not_looked_for_adds_nothing_and_keeps_its_pit(reader: Actor) -> None:
    made = pit_of(PublishedVisitFactory.create())
    count_of(made, number=2)
    count_of(made, stage="juvenile", state="not_looked_for", **NOTHING)

    body = summary(reader)

    assert [group["total_count"] for group in body["data"]] == [2]
    assert body["pits_left_out"] == {}


@pytest.mark.parametrize("name", GROUPINGS)
def test_each_grouping_tells_pits_apart(reader: Actor, name: str) -> None:
    column, one, other = {
        "month": ("sampled_on", "2025-03", "2025-04-01"),
        "protocol": ("protocol", "contrast-pit/1", "contrast-pit/2"),
        "season": ("season", "autumn", "spring"),
    }.get(name, (name, "clay", "loam"))
    traits: list[dict[str, Any]] = [{column: one}, {column: other}]
    pit(1, **traits[0])
    pit(2, **traits[1])

    groups = summary(reader, f"by={name}")["data"]

    shown = [one[:7], other[:7]] if name == "month" else [one, other]
    assert [(group[name], group["total_count"]) for group in groups] == list(
        zip(shown, (1, 2), strict=True)
    )


def test_groupings_together_and_a_value_not_entered(reader: Actor) -> None:
    pit(1, texture="clay", habitat="hedge")
    pit(2, texture=None, habitat="hedge")

    groups = summary(reader, "by=habitat,texture")["data"]

    keys = [(group["habitat"], group["texture"], group["total_count"]) for group in groups]
    assert keys == [("hedge", None, 2), ("hedge", "clay", 1)]


@pytest.mark.parametrize(
    ("query", "parameter", "allowed"),
    [
        ("by=group_code", "by", "habitat, season, month"),
        ("by=household", "by", "habitat, season, month"),
        ("by=site_id", "by", "habitat, season, month"),
        ("by=habitat,habitat", "by", "different names"),
        ("by=", "by", "habitat"),
        ("measure=median", "measure", "density_mean"),
    ],
)
def test_unknown_grouping_or_measure_is_refused(
    reader: Actor, query: str, parameter: str, allowed: str
) -> None:
    answer = reader.get(f"/api/v1/summary?{query}")

    assert answer.status_code == 400
    assert answer.json()["parameter"] == parameter
    assert allowed in answer.json()["allowed"]


def test_nothing_chosen_gives_no_groups(reader: Actor) -> None:
    pit(1)

    body = summary(reader, "habitat=bog")

    assert (body["data"], body["pits_left_out"]) == ([], {})


@pytest.mark.parametrize(
    ("group", "cautions"), [("anecic", 1), ("endogeic,anecic", 1), ("epigeic", 0)]
)
def test_figures_of_deep_burrowing_animals_say_what_hand_sorting_misses(
    reader: Actor, group: str, cautions: int
) -> None:
    pit(0, expellant="not_done")

    found = summary(reader, f"group={group}")["cautions"]

    assert len(found) == cautions
    assert all("say nothing about deep-burrowing animals" in caution for caution in found)


def test_one_animal_is_told_in_the_singular(reader: Actor) -> None:
    pit(1, 1.0)

    assert ": 1 animal per m2 " in summary(reader)["data"][0]["sentence"]


def test_summary_is_that_of_the_rows_in_any_order(reader: Actor) -> None:
    found = (3, 0, 11, 7, 3, 0, 2, 19)
    for number in found:
        pit(number, 0.0625 if number % 2 else 0.04)
    before = summary(reader)["data"]

    PublishedCount.objects.all().delete()
    PublishedPit.objects.all().delete()
    for number in reversed(found):
        pit(number, 0.0625 if number % 2 else 0.04)

    assert summary(reader)["data"] == before
