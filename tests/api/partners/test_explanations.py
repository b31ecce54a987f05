"""What the pages of faults say of the codes of checks."""

import pytest

from api.partners.explanations import explanation


@pytest.mark.parametrize(
    ("code", "meaning", "follows"),
    [
        ("validation-coordinates-notzero", "the point 0, 0", "a reviewer looks at it"),
        ("validation-coordinateuncertainty-inrange", "radius", "stored as it is"),
        ("validation-anecicadults-likely", "deep-burrowers", "stored as it is"),
    ],
)
def test_code_of_a_check_at_intake_is_explained(code: str, meaning: str, follows: str) -> None:
    told = explanation(code)

    assert told is not None
    assert meaning in told[0]
    assert follows in told[1]


@pytest.mark.parametrize("code", ["validation-license-standard", "never-heard-of"])
def test_code_that_no_sent_visit_can_have_is_unknown(code: str) -> None:
    assert explanation(code) is None
