"""How many looks a round takes, as a table; and which visits are drawn."""

import pytest

from surveys.moderation.looks import Opinion, Stage, is_drawn, stage

YES, NO = Opinion("accepted"), Opinion("declined")
FEWER = Opinion("accepted_with_change", frozenset({(("number", 2),)}))
FEWER_STILL = Opinion("accepted_with_change", frozenset({(("number", 1),)}))
SHARE = 0.1


@pytest.mark.parametrize(
    ("opinions", "drawn", "waits_for"),
    [
        ([], False, Stage.FIRST),
        ([], True, Stage.FIRST),
        ([YES], False, Stage.DECIDED),
        ([YES], True, Stage.SECOND),
        ([NO], True, Stage.SECOND),
        ([YES, YES], True, Stage.DECIDED),
        ([FEWER, FEWER], True, Stage.DECIDED),
        ([YES, NO], True, Stage.THIRD),
        ([YES, FEWER], True, Stage.THIRD),
        ([FEWER, FEWER_STILL], True, Stage.THIRD),
        ([YES, NO, YES], True, Stage.DECIDED),
        ([YES, NO, FEWER], True, Stage.DECIDED),
    ],
)
def test_round_takes_as_many_looks_as_it_needs(
    opinions: list[Opinion],
    drawn: bool,  # noqa: FBT001 -- a column of the table
    waits_for: Stage,
) -> None:
    assert stage(opinions, is_drawn=drawn) == waits_for


def test_draw_hangs_on_visit_and_secret_alone() -> None:
    keys = [f"QVD/QVD-S{number}" for number in range(400)]

    drawn = {key for key in keys if is_drawn(key, SHARE, "secret")}

    assert drawn == {key for key in keys if is_drawn(key, SHARE, "secret")}
    assert drawn != {key for key in keys if is_drawn(key, SHARE, "another")}
    assert drawn <= {key for key in keys if is_drawn(key, 2 * SHARE, "secret")}


def test_share_of_drawn_visits_is_the_set_share() -> None:
    """4000 draws at 0.1 lie within 5 standard errors (0.0047 each), whatever the secret."""
    n_drawn = sum(is_drawn(f"QVD/{number}", SHARE, "secret") for number in range(4000))

    assert n_drawn / 4000 == pytest.approx(SHARE, abs=5 * 0.0047)


@pytest.mark.parametrize(("share", "drawn"), [(0.0, False), (1.0, True)])
def test_share_of_none_draws_none_and_of_all_all(
    share: float,
    drawn: bool,  # noqa: FBT001 -- a column of the table
) -> None:
    assert {is_drawn(f"QVD/{n}", share, "secret") for n in range(200)} == {drawn}
