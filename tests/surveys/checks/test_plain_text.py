"""Text made plain, and the way back to where each character stood."""

# ruff: noqa: RUF001 -- characters that look like others are what is tested
import sys
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveys.checks.plain_text import plain_text


@pytest.mark.parametrize(
    ("sent", "plain"),
    [
        ("", ""),
        ("plain text\nof two lines", "plain text\nof two lines"),
        ("ＡＢ１２　３ＣＤ", "AB12 3CD"),
        ("٠١٢ ۳۴ ५६ ７８ 𝟗", "012 34 56 78 9"),
        ("ze\u200bro\u00ad\u2060wi\ufeffdth\u202e", "zerowidth"),
        ("7\ufe0f\u20e3", "7"),
        ("\u3164a\u2800b\u034f", "ab"),
        ("o\u0308", "ö"),
        ("52º 52′ 26″", "52° 52' 26\""),
        ("1–2—3−4‐5", "1-2-3-4-5"),
        ("a\u00a0b\u2003c", "a b c"),
        ("3 dot 5 and 7 DASH 8", "3.5 and 7-8"),
        ("a dot b, dot 3", "a dot b, dot 3"),
        ("½ ㎝", "1/2 cm"),
    ],
)
def test_text_is_made_plain(sent: str, plain: str) -> None:
    assert plain_text(sent).text == plain


def test_origin_covers_all_that_a_character_was_made_of() -> None:
    plain = plain_text("x\u200bo\u0308㎝ 3 dot 5")

    assert plain.text == "xöcm 3.5"
    assert [plain.span_of(place, place + 1) for place in range(len(plain.text))] == [
        (0, 1), (2, 4), (4, 5), (4, 5), (5, 6), (6, 7), (7, 12), (12, 13),
    ]  # fmt: skip


def test_every_decimal_digit_of_unicode_becomes_ascii() -> None:
    digits = [
        chr(point)
        for point in range(sys.maxunicode + 1)
        if unicodedata.category(chr(point)) == "Nd"
    ]

    made = [plain_text(digit).text for digit in digits]

    assert len(digits) > 600  # Unicode 14 has 660
    assert made == [str(unicodedata.decimal(digit)) for digit in digits]


@given(st.text(max_size=60))
def test_origins_are_in_order_and_inside_the_text(sent: str) -> None:
    plain = plain_text(sent)

    assert len(plain.origins) == len(plain.text)
    assert list(plain.origins) == sorted(plain.origins)
    assert all(0 <= start < end <= len(sent) for start, end in plain.origins)
