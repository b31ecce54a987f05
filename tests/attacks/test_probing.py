"""Attacks by a partner group: find another group's garden by asking the checks.

Number 18 of the list. Day and numbers of a published visit are known from its rows, and so is its
cell; a rehearsal (``dry_run``) stores nothing and takes 200 visits at once. If any answer depends
on what another group has at the place, one request finds the garden.
"""

from decimal import Decimal
from typing import Any

import pytest

from surveys.visits.queries import NEAR_DEG
from tests.api.holders import SUBMISSIONS, VISITS, holder_of, partner, sent_visit, visit_of
from tests.factories.private import Payload, put, sending_group
from tests.journeys.actors import Actor

SOUTH, WEST = Decimal("52.88"), Decimal("-0.73")  # of the published cell, 0.01 degree wide
TRIES_A_SIDE = 10

pytestmark = pytest.mark.django_db


def guesses(template: Payload) -> list[Payload]:
    """Return the known visit at every place of the cell, as near as the check looks."""
    made = []
    for number in range(TRIES_A_SIDE**2):
        row, column = divmod(number, TRIES_A_SIDE)
        guess = put(template, "/site/latitude", float(SOUTH + NEAR_DEG * (2 * row + 1)))
        guess = put(guess, "/site/longitude", float(WEST + NEAR_DEG * (2 * column + 1)))
        guess = put(guess, "/site/code", f"guess-{number}")
        made.append(guess | {"client_ref": f"guess-{number}"})
    return made


def places_that_stand_out(caller: Actor, tries: list[Payload]) -> list[int]:
    """Return which guesses were answered otherwise than most."""
    answer = caller.post(f"{SUBMISSIONS}?dry_run=true", {"visits": tries}).json()
    told: dict[int, list[Any]] = {number: [] for number in range(len(tries))}
    for fault in answer["errors"]:
        place = int(fault["pointer"].split("/")[2])
        told[place].append((fault["code"], fault["message"]))
    lines = [repr(told[number]) for number in range(len(tries))]
    usual = max(set(lines), key=lines.count)
    return [number for number, line in enumerate(lines) if line != usual]


def test_rehearsing_over_a_cell_finds_no_garden_of_another_group() -> None:
    """Success is one try in a hundred by chance; the answers must give no better guess."""
    _, owner = partner("QVD")
    sent_visit(owner, visit_of(1))
    stranger = holder_of(sending_group("OTHER"), "read", "submit")

    assert places_that_stand_out(stranger, guesses(visit_of(1))) == []


def test_the_same_program_finds_a_garden_of_the_own_group() -> None:
    """The program must be able to win: its own group is told of a visit sent twice."""
    _, owner = partner("QVD")
    sent_visit(owner, visit_of(1))

    rows = slice(2 * TRIES_A_SIDE, 4 * TRIES_A_SIDE)  # enough of the cell, for the sake of time
    (found,) = places_that_stand_out(owner, guesses(visit_of(1))[rows])

    row, column = divmod(found + rows.start, TRIES_A_SIDE)
    sent = visit_of(1)["site"]
    assert abs(SOUTH + NEAR_DEG * (2 * row + 1) - Decimal(str(sent["latitude"]))) <= NEAR_DEG
    assert abs(WEST + NEAR_DEG * (2 * column + 1) - Decimal(str(sent["longitude"]))) <= NEAR_DEG


def rehearsed(caller: Actor, sent: Payload) -> list[Any]:
    answer = caller.post(f"{SUBMISSIONS}?dry_run=true", {"visits": [sent]}).json()
    return [answer["summary"], answer["errors"]]


def test_position_shared_with_other_groups_is_not_told() -> None:
    """Guess a position to the last digit: three people at one place would be told of."""
    there = visit_of(1)
    for code in ("QVD", "THIRD"):
        sent_visit(partner(code)[1], there)
    stranger = holder_of(sending_group("OTHER"), "read", "submit")

    elsewhere = put(there, "/site/latitude", 52.88777)

    assert rehearsed(stranger, there) == rehearsed(stranger, elsewhere)


def test_storing_a_near_double_as_another_group_says_the_same_as_anywhere() -> None:
    """Not only rehearse but send it: stored, in review, in the same words."""
    sent_visit(partner("QVD")[1], visit_of(1))

    answers = []
    for code, latitude in (("ONE", visit_of(1)["site"]["latitude"]), ("TWO", 52.8877)):
        stranger = holder_of(sending_group(code), "read", "submit")
        sent = put(visit_of(1), "/site/latitude", latitude)
        taken = stranger.post(SUBMISSIONS, {"visits": [sent]}).json()
        visit = stranger.get(f"{VISITS}/{sent['client_ref']}").json()
        answers.append((taken["summary"], taken["errors"], visit["state"], visit["open_questions"]))

    assert answers[0] == answers[1]
