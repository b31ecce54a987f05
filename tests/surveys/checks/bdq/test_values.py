"""What counts as empty, a number, an integer: the traps named for the standard's examples."""

from decimal import Decimal

import pytest

from surveys.checks.bdq.values import integer, is_empty, number, plain, trimmed


@pytest.mark.parametrize("value", ["", " ", "\x00", "\x0e\x0f", "\t\r\n", "\x1f "])
def test_nothing_above_a_blank_is_empty(value: str) -> None:
    assert is_empty({"dwc:day": value}, "dwc:day")


@pytest.mark.parametrize("value", ["null", "NULL", "\\N", "?", "\u00a0", "\u200b", " x "])
def test_words_for_nothing_and_wide_blanks_are_values(value: str) -> None:
    assert not is_empty({"dwc:day": value}, "dwc:day")


def test_absent_term_is_empty() -> None:
    assert is_empty({}, "dwc:day")


@pytest.mark.parametrize("text", ["0", "-1", "+1.5", "1.", ".5", "1.5e2", "2E-3"])
def test_plain_number_is_read(text: str) -> None:
    assert number(text) == Decimal(text)


@pytest.mark.parametrize(
    "text",
    ["", "nan", "inf", "1_0", "0x10", "1,5", "\u0661", "1 ", "1e", "--1", "1\n", "1e9999999999"],
)
def test_look_alike_is_no_number(text: str) -> None:
    assert number(text) is None


def test_integer_is_read_in_ascii_digits_only() -> None:
    assert integer("007") == 7
    assert integer("-3") == -3
    assert [integer(text) for text in ("7.0", "\u0667", "7 ", "", "1" * 5000)] == [None] * 5


def test_trimming_takes_controls_and_leaves_wide_blanks() -> None:
    assert trimmed({"dwc:day": "\x00 5\u00a0\t"}, "dwc:day") == "5\u00a0"


def test_number_is_written_without_exponent_or_needless_zeros() -> None:
    assert [plain(Decimal(text)) for text in ("100", "1E+2", "0.20", "0")] == [
        "100",
        "100",
        "0.2",
        "0",
    ]
