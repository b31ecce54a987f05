"""Trials of the measuring: sent once, read by the own group only, and what follows from them."""

from typing import Any

import pytest

from surveys.audit.models import AuditEntry
from surveys.calibration.models import CalibrationTrial
from surveys.people.models import Group
from tests.api.holders import ALL_OF_A_GROUP, holder_of, neighbour, partner
from tests.factories.private import GroupFactory
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db

ADDRESS = "/api/v1/partner/calibrations"
RESULTS = f"{ADDRESS}/results"


def trial(**changes: Any) -> dict[str, Any]:
    """Return a trial of known numbers: 7 of 10 deep-burrowing adults found."""
    made: dict[str, Any] = {
        "client_ref": "QVD-T1",
        "kind": "known_numbers",
        "protocol": "contrast-pit/2",
        "step": "hand_sort",
        "observer": "QVD-07",
        "held_on": "2025-04-12",
        "lines": [
            {"group": "anecic", "stage": "adult", "known": 10, "observed": 7},
            {"group": "epigeic", "stage": "adult", "known": 4, "observed": 5},
        ],
    }
    return made | changes


def test_trial_is_stored_with_an_audit_entry_and_read_back() -> None:
    _, caller = partner()

    answer = caller.post(ADDRESS, trial())

    assert (answer.status_code, answer.json()["stored"]) == (201, "new")
    where = answer.headers["Location"]
    assert where.endswith(f"{ADDRESS}/QVD-T1")
    read = caller.get(f"{ADDRESS}/QVD-T1").json()
    assert {name: read[name] for name in trial()} == trial()
    assert read["first_observer"] is None
    assert caller.get(ADDRESS).json()["data"] == [read]
    assert AuditEntry.objects.filter(subject_key="QVD/QVD-T1").count() == 1


def test_trial_sent_again_is_unchanged_and_a_changed_one_is_refused() -> None:
    _, caller = partner()
    caller.post(ADDRESS, trial())

    again = caller.post(ADDRESS, trial(lines=trial()["lines"][::-1]))
    changed = caller.post(ADDRESS, trial(held_on="2025-04-13"))

    assert (again.status_code, again.json()["stored"]) == (200, "unchanged")
    assert changed.status_code == 409
    assert "QVD-T1" in changed.json()["detail"]
    assert caller.get(f"{ADDRESS}/QVD-T1").json()["held_on"] == "2025-04-12"
    assert AuditEntry.objects.filter(action="trial recorded").count() == 1


@pytest.mark.parametrize(
    ("changes", "pointers"),
    [
        (
            {
                "protocol": "no-such/1",
                "observer": "QVD-99",
                "held_on": "2999-01-01",
                "first_observer": "QVD-98",
                "lines": [trial()["lines"][0]] * 2,
            },
            {"/protocol", "/observer", "/held_on", "/first_observer", "/lines/1"},
        ),
        ({"kind": "guess", "lines": [], "extra": 1}, {"/kind", "/lines", "/extra"}),
        ({"kind": "two_observers"}, {"/first_observer"}),
        ({"kind": "two_observers", "first_observer": "QVD-07"}, {"/first_observer"}),
        ({"client_ref": "results"}, {"/client_ref"}),
        (
            {"lines": [{"group": "anecic", "stage": "adult", "known": -1, "observed": "7"}]},
            {"/lines/0/known", "/lines/0/observed"},
        ),
    ],
)
def test_all_faults_are_told_at_once_and_nothing_is_stored(
    changes: dict[str, Any], pointers: set[str]
) -> None:
    _, caller = partner()

    answer = caller.post(ADDRESS, trial(**changes))

    assert answer.status_code == 422
    assert {fault["pointer"] for fault in answer.json()["errors"]} == pointers
    assert not CalibrationTrial.objects.exists()


def test_trials_are_not_told_to_others() -> None:
    group, caller = partner()
    caller.post(ADDRESS, trial())
    other: Group = GroupFactory.create(code="OPL")
    stranger = holder_of(other, *ALL_OF_A_GROUP)

    assert stranger.get(f"{ADDRESS}/QVD-T1").status_code == 404
    assert stranger.get(ADDRESS).json()["data"] == []
    assert stranger.get(RESULTS).json()["data"] == []
    assert stranger.post(ADDRESS, trial()).status_code == 422  # QVD-07 is not its participant
    assert holder_of(group, "read").post(ADDRESS, trial()).status_code == 403
    assert holder_of(group, "submit").get(ADDRESS).status_code == 403
    assert Actor().get(RESULTS).status_code == 401
    assert caller.get(f"{RESULTS}?all=true").status_code == 400


def test_results_tell_shares_with_interval_and_not_enough_below_five_animals() -> None:
    group, caller = partner()
    neighbour(group, "QVD-08")
    two = trial(client_ref="QVD-T2", kind="two_observers", first_observer="QVD-08")
    caller.post(ADDRESS, trial())
    caller.post(ADDRESS, two)

    rows = {(row["measure"], row["group"]): row for row in caller.get(RESULTS).json()["data"]}

    deep = rows["detection", "anecic"]
    assert (deep["protocol"], deep["step"]) == ("contrast-pit/2", "hand_sort")
    assert (deep["hits"], deep["n"], deep["share"]) == (7, 10, 0.7)
    # Wilson limits of 7 in 10 worked by hand from the formula of Wilson 1927, z = 1.96
    assert (deep["lower"], deep["upper"]) == pytest.approx((0.3968, 0.8922), abs=5e-4)
    assert "7 of 10 known animals were found" in deep["sentence"]
    litter = rows["detection", "epigeic"]
    assert (litter["share"], litter["beyond"], litter["method"]) == (None, 1, "not enough yet")
    assert "not enough yet" in litter["sentence"]
    assert rows["agreement", "epigeic"]["share"] == pytest.approx(4 / 5)
