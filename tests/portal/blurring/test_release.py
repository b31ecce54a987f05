"""One run over all sites: what comes out, in which order, and what is refused."""

import subprocess
import sys
from dataclasses import replace
from typing import Any

import pytest

from portal.blurring import (
    CellNameError,
    PositionError,
    RulesError,
    SiteError,
    generalise,
    hidden_after_withdrawal,
)
from tests.portal.blurring.examples import GARDEN, RULES, gardens

TENTH = "0.1|52.6|-0.5"
IN_HUNDREDTH = "52.6149", "-0.4851"
FAR_AWAY = "57.1234", "-2.1234"


def test_opened_lists_every_class_but_never_the_root() -> None:
    result = generalise([], {"farm": ["root", TENTH]}, RULES)

    assert result.opened == {
        "household": frozenset(),
        "farm": {TENTH},
        "school": frozenset(),
        "public_land": frozenset(),
    }


def test_places_are_in_the_order_of_the_keys() -> None:
    sites = gardens("a", 12, *IN_HUNDREDTH)

    result = generalise(sites, {}, RULES)

    assert list(result.places) == sorted(site.key for site in sites)


def test_withdrawal_hides_the_rest_of_a_group_that_is_now_too_small() -> None:
    crowd, trio = gardens("a", 5, *IN_HUNDREDTH), gardens("b", 3, *FAR_AWAY)
    opened = generalise(crowd + trio, {}, RULES).opened

    hidden = hidden_after_withdrawal(crowd[2:] + trio[1:], opened, RULES)

    assert hidden == {site.key for site in trio[1:]}


def test_withdrawal_opens_nothing() -> None:
    crowd = gardens("a", 6, *IN_HUNDREDTH)

    hidden = hidden_after_withdrawal(crowd[1:], {"household": [TENTH]}, RULES)

    assert hidden == frozenset()


def test_site_given_twice_is_refused() -> None:
    with pytest.raises(SiteError, match="Site garden was given twice"):
        generalise([GARDEN, GARDEN], {}, RULES)


@pytest.mark.parametrize(
    ("changed", "error"),
    [
        ({"latitude": "91"}, PositionError),
        ({"longitude": "x"}, PositionError),
        ({"place_kind": "moor"}, RulesError),
        ({"consent_level": "not_published"}, SiteError),
    ],
)
def test_site_that_cannot_be_placed_is_refused(
    changed: dict[str, Any], error: type[ValueError]
) -> None:
    site = replace(GARDEN, **changed)

    with pytest.raises(error):
        generalise([site], {}, RULES)


def test_history_of_an_unknown_class_is_refused() -> None:
    with pytest.raises(RulesError, match="unknown place classes: moor"):
        generalise([], {"moor": [TENTH]}, RULES)


def test_history_with_an_unknown_cell_is_refused() -> None:
    with pytest.raises(CellNameError):
        generalise([], {"farm": ["0.1|52.61|-0.5"]}, RULES)


HASHED_RUN = """
from portal.blurring import generalise
from tests.portal.blurring.examples import RULES, as_text, gardens
sites = [*gardens("a", 7, "52.6149", "-0.4851"), *gardens("b", 7, "52.655", "-0.455")]
sites += [*gardens("c", 1, "52.695", "-0.405"), *gardens("d", 4, "57.1", "-2.1")]
sys.stdout.write(as_text(generalise(sites, {"household": ["0.1|52.6|-0.5"]}, RULES)))
"""


@pytest.mark.slow
def test_bytes_do_not_depend_on_the_hashing_of_texts() -> None:
    program = f"import sys; sys.path[:] = {sys.path!r}\n{HASHED_RUN}"

    texts = {
        subprocess.run(  # noqa: S603 -- runs this very interpreter
            [sys.executable, "-c", program],
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "3")
    }

    assert len(texts) == 1
    assert b"0.1|52.6|-0.5" in texts.pop()
