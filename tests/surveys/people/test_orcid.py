"""ORCID iDs: form and check digit."""

import pytest

from surveys.people.orcid import is_orcid

# Examples of the identifier's own documentation ("Structure of the ORCID Identifier"), from memory.
RIGHT = ["0000-0002-1825-0097", "0000-0001-5109-3700", "0000-0002-1694-233X"]


@pytest.mark.parametrize("text", RIGHT)
def test_right_number_is_taken(text: str) -> None:
    assert is_orcid(text)


@pytest.mark.parametrize("text", RIGHT)
def test_any_single_wrong_digit_shows(text: str) -> None:
    for place, digit in enumerate(text):
        if digit == "-":
            continue
        for other in "0123456789":
            changed = text[:place] + other + text[place + 1 :]
            assert is_orcid(changed) is (changed == text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "0000000218250097",
        "0000-0002-1694-233x",
        "https://orcid.org/0000-0002-1825-0097",
        "\u0660000-0002-1825-0097",
        "0000-0002-1825-0097\n",
    ],
)
def test_other_form_is_no_number(text: str) -> None:
    assert not is_orcid(text)
