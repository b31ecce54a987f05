"""Writing of values; rules of the Darwin Core text guide (TDWG, 2023-09-13) and ISO 8601."""

from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from portal.archive.values import clean_text, date_parts, listed, plain_number, written


@pytest.mark.parametrize(
    ("raw", "clean"),
    [
        ("a\tb", "a b"),
        ("a\r\nb", "a  b"),
        ("a\x0bb\x0cc\x85d\u2028e\u2029f", "a b c d e f"),
        ("bell\x07 null\x00", "bell null"),
        ("  trimmed\u00a0", "trimmed"),
        ("cafe\u0301", "café"),
        ('lone " quote', 'lone " quote'),
        ("half \ud800 character", "half  character"),
    ],
)
def test_text_becomes_one_tidy_line(raw: str, clean: str) -> None:
    assert clean_text(raw) == clean


@given(st.text(max_size=30))
def test_text_never_breaks_a_field_or_line(raw: str) -> None:
    clean = clean_text(raw)

    assert len(clean.splitlines()) <= 1
    assert "\t" not in clean
    assert clean == clean.strip()
    assert clean_text(clean) == clean


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, ""),
        (True, "true"),
        (False, "false"),
        (0, "0"),
        (0.0, "0"),
        (0.04, "0.04"),
        (20.0, "20"),
        (1200.0, "1200"),
        (1e-05, "0.00001"),
        (-0.715, "-0.715"),
        (Decimal("175.00"), "175"),
        (Decimal("1E+3"), "1000"),
        (date(2025, 3, 1), "2025-03-01"),
        (UUID("3332ebe3-d948-4165-a91d-c956474e6db8"), "3332ebe3-d948-4165-a91d-c956474e6db8"),
        ("tab\there", "tab here"),
    ],
)
def test_value_is_written_plainly(value: object, text: str) -> None:
    assert written(value) == text


def test_instant_is_written_in_utc_whatever_its_zone() -> None:
    summer = timezone(timedelta(hours=2))

    assert written(datetime(2025, 7, 1, 1, 30, tzinfo=summer)) == "2025-06-30T23:30:00Z"
    assert written(datetime(2025, 7, 1, 1, 30, 9, 999999, tzinfo=UTC)) == "2025-07-01T01:30:09Z"


def test_minus_nothing_is_nothing() -> None:
    assert plain_number(-0.0) == "0"


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("2025-03-15", (2025, 3, 15)),
        ("2025-03", (2025, 3, None)),
        ("2025", (2025, None, None)),
    ],
)
def test_date_tells_only_the_parts_it_has(
    text: str, parts: tuple[int, int | None, int | None]
) -> None:
    assert date_parts(text) == parts


def test_list_names_each_value_once_in_order() -> None:
    assert listed(["lawn", "hedge", "lawn"]) == "lawn | hedge"
    assert listed([]) == ""
