"""A group reads what its own pits say."""

from typing import Any

import pytest

from portal.statistics.two_spots import CAUTION
from surveys.people.models import Group, Reviewer
from tests.api.holders import ALL_OF_A_GROUP, VISITS, holder_of, partner, sent_visit, visit_of
from tests.factories.private import (
    DeterminationFactory,
    GroupFactory,
    counts_payload,
    pit_payload,
    put,
    sending_group,
)
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db

RESULT = f"{VISITS}/QVD-S01/result"


def pit(habitat: str, *numbers: int | str | None, poured: bool = True, **more: Any) -> Any:
    """Return a pit with these lines by hand and nothing in the drench."""
    drench = {"kind": "expellant", "done": poured, "counts": []}
    if poured:
        drench |= {"agent": "mustard water", "volume_ml": 500, "wait_min": 5}
        drench["counts"] = counts_payload(0, 0, 0, 0)
    phases = [{"kind": "hand_sort", "done": True, "counts": counts_payload(*numbers)}, drench]
    return pit_payload(habitat=habitat, phases=phases, total=None) | more


def result_of(caller: Actor, *pits: Any) -> Any:
    sent_visit(caller, visit_of(1, pits=list(pits)))
    answer = caller.get(RESULT)
    assert answer.status_code == 200, answer.json()
    return answer.json()


def test_two_spots_alike_are_too_close_to_call() -> None:
    _, caller = partner()

    result = result_of(caller, pit("lawn", 1, 3, 0, 2), pit("hedge", 1, 2, 0, 2))

    assert result["verdict"] == "Your two spots: too close to call."
    assert result["caution"] == CAUTION
    assert result["pits"] == [
        {
            "number": 1,
            "name": "lawn",
            "steps": "hand_sort + expellant",
            "animals": 6,
            "per_m2": 150.0,
        },
        {
            "number": 2,
            "name": "hedge",
            "steps": "hand_sort + expellant",
            "animals": 5,
            "per_m2": 125.0,
        },
    ]
    (pair,) = result["pairs"]
    assert (pair["ratio"], pair["outcome"]) == (1.2, "spans_one")
    assert pair["lower"] < 1 < pair["upper"]


def test_a_large_difference_is_told_with_its_interval() -> None:
    _, caller = partner()

    result = result_of(caller, pit("lawn", 2, 4, 0, 6), pit("hedge", 10, 10, 0, 20))

    assert result["verdict"] == "The hedge had more: between 1.7 and 7 times as many."
    assert result["pairs"][0]["method"].startswith("rate ratio of two Poisson counts")


def test_a_determination_of_the_reviewer_counts() -> None:
    group, caller = partner()
    result_of(caller, pit("lawn", 2, 4, 0, 6), pit("hedge", 10, 10, 0, 20))
    line = group.visits.get().current_pits()[1].phases.get(kind="hand_sort").counts.last()

    DeterminationFactory.create(count=line, number=0)

    result = caller.get(RESULT).json()
    assert [pit["animals"] for pit in result["pits"]] == [12, 20]
    assert result["verdict"] == "Your two spots: too close to call."


def test_pits_of_one_habitat_are_told_apart_by_what_was_done() -> None:
    _, caller = partner()

    result = result_of(
        caller,
        pit("crop field", 1, 3, 0, 2, management=["direct drilled"]),
        pit("crop field", 1, 2, 0, 2, management=["ploughed"]),
    )

    names = [pit["name"] for pit in result["pits"]]
    assert names == ["crop field (direct drilled)", "crop field (ploughed)"]


def test_pits_alike_in_everything_are_told_apart_by_number() -> None:
    _, caller = partner()

    result = result_of(caller, pit("lawn", 1, 3, 0, 2), pit("lawn", 1, 2, 0, 2))

    assert [pit["name"] for pit in result["pits"]] == ["lawn of pit 1", "lawn of pit 2"]


def test_pits_sorted_in_different_ways_are_not_compared() -> None:
    _, caller = partner()

    result = result_of(caller, pit("lawn", 1, 3, 0, 2), pit("hedge", 9, 9, 9, 9, poured=False))

    assert result["pairs"] == []
    assert "none are compared" in result["verdict"]


def test_a_pit_with_a_blank_line_is_left_out_with_its_reason() -> None:
    _, caller = partner()

    result = result_of(caller, pit("lawn", 1, 3, None, 2), pit("hedge", 1, 2, 0, 2))

    assert result["pits_left_out"] == {"not entered": 1}
    assert [pit["name"] for pit in result["pits"]] == ["hedge"]
    assert result["pairs"] == []


def test_a_corrected_visit_is_judged_by_its_newest_revision() -> None:
    _, caller = partner()
    result_of(caller, pit("lawn", 2, 4, 0, 6), pit("hedge", 10, 10, 0, 20))

    corrected = visit_of(1, pits=[pit("lawn", 2, 4, 0, 6), pit("hedge", 1, 1, 0, 2)])
    etag = caller.get(f"{VISITS}/QVD-S01").headers["ETag"]
    assert caller.put(f"{VISITS}/QVD-S01", corrected, **{"If-Match": etag}).status_code == 200

    result = caller.get(RESULT).json()
    assert result["revision"] == 2
    assert [pit["animals"] for pit in result["pits"]] == [12, 4]


def test_result_is_for_the_own_group_only() -> None:
    group, caller = partner()
    result_of(caller, pit("lawn", 1, 3, 0, 2), pit("hedge", 1, 2, 0, 2))
    other: Group = GroupFactory.create(code="OPL")

    assert holder_of(other, *ALL_OF_A_GROUP).get(RESULT).status_code == 404
    assert holder_of(group, "submit").get(RESULT).status_code == 403
    assert holder_of(Reviewer.objects.create(code="V1"), "review").get(RESULT).status_code == 403
    assert Actor().get(RESULT).status_code == 401


def test_result_of_a_withdrawn_visit_is_gone() -> None:
    _, caller = partner()
    result_of(caller, pit("lawn", 1, 3, 0, 2), pit("hedge", 1, 2, 0, 2))

    caller.post(f"{VISITS}/QVD-S01/withdrawal", {"reason_class": "sender_error"})

    assert caller.get(RESULT).status_code == 409


def test_result_takes_no_parameters_and_is_not_kept_by_caches() -> None:
    _, caller = partner()
    result_of(caller, pit("lawn", 1, 3, 0, 2), pit("hedge", 1, 2, 0, 2))

    assert caller.get(f"{RESULT}?by=habitat").status_code == 400
    assert caller.get(RESULT).headers["Cache-Control"] == "private, no-store"


def test_result_of_an_unknown_visit_is_not_found() -> None:
    caller = holder_of(sending_group(), "read")

    assert caller.get(RESULT).status_code == 404


def test_three_pits_are_judged_as_three_comparisons() -> None:
    _, caller = partner()
    payload = visit_of(1, pits=[pit(habitat, 0, 4, 0, 8) for habitat in ("lawn", "hedge")])
    payload["pits"].append(pit("bank", 10, 10, 0, 20))
    sent_visit(caller, put(payload, "/note", "A third pit was dug."))

    result = caller.get(RESULT).json()

    assert [(pair["first"], pair["second"]) for pair in result["pairs"]] == [
        ("lawn", "hedge"),
        ("lawn", "bank"),
        ("hedge", "bank"),
    ]
    assert "p adjusted (Holm 1979)" in result["pairs"][1]["method"]
