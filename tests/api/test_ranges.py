"""Ranges of bytes, by the examples and the grammar of RFC 9110, section 14.

The examples are those of section 14.1.2, of a representation of 10000 bytes.
"""

import pytest

from api.ranges import ByteRange, NotSatisfiable, range_applies, requested_range

SIZE = 10_000


@pytest.mark.parametrize(
    ("header", "first", "last"),
    [
        ("bytes=0-499", 0, 499),  # "The first 500 bytes"
        ("bytes=500-999", 500, 999),  # "The second 500 bytes"
        ("bytes=-500", 9500, 9999),  # "The final 500 bytes"
        ("bytes=9500-", 9500, 9999),  # "Or"
        ("bytes=0-0", 0, 0),
        ("bytes=-1", 9999, 9999),
        # "If the selected representation is shorter than the specified suffix-length, the entire
        # representation is used."
        ("bytes=-10001", 0, 9999),
        # "if the value is greater than or equal to the current length ... the remainder"
        ("bytes=9999-10000", 9999, 9999),
        ("BYTES=1-2", 1, 2),  # "Range unit names are case-insensitive"
        ("bytes=0001-0002", 1, 2),
        ("bytes= 1-2 ", 1, 2),
        ("bytes=,1-2,", 1, 2),  # section 5.6.1.2: empty elements of a list are let pass
        ("bytes=0-" + "9" * 5000, 0, 9999),
        ("bytes=-" + "9" * 5000, 0, 9999),
    ],
)
def test_single_range_is_read(header: str, first: int, last: int) -> None:
    assert requested_range(header, SIZE) == ByteRange(first, last)


@pytest.mark.parametrize(
    "header",
    [
        None,
        "",
        "bytes",
        "bytes=",
        "bytes=,",
        "bytes=-",
        "bytes=5",
        "bytes=2-1",  # "invalid if the last-pos value is present and less than the first-pos"
        "bytes=1-2;3-4",
        "bytes=1 - 2",
        "bytes=1-2-3",
        "bytes=--5",
        "bytes=+1-2",
        "bytes=1.0-2",
        "bytes=٣-٤",  # digits, but not those of the grammar
        "bytes 0-499",
        "items=0-499",
        "bytes=0-499, x",
        "bytes=0-0,-1",  # "The first and last bytes only": several are answered whole
        "bytes= 0-999, 4500-5499, -1000",  # "The first, middle, and last 1000 bytes"
        "bytes=500-600,601-999",
        "bytes=500-700,601-999",
        "bytes=0-1,20000-",
    ],
)
def test_anything_else_is_the_whole_file(header: str | None) -> None:
    assert requested_range(header, SIZE) is None


@pytest.mark.parametrize(
    "header", ["bytes=10000-", "bytes=10000-10001", "bytes=-0", "bytes=20000-,30000-40000"]
)
def test_valid_range_of_bytes_that_are_not_there_cannot_be_had(header: str) -> None:
    with pytest.raises(NotSatisfiable, match="10000"):
        requested_range(header, SIZE)


def test_empty_file_is_answered_whole_or_not_at_all() -> None:
    assert requested_range("bytes=-5", 0) is None
    with pytest.raises(NotSatisfiable):
        requested_range("bytes=0-", 0)


def test_range_says_which_of_how_many_bytes() -> None:
    """The example of section 14.4: bytes 42 to 1233 of 1234."""
    assert ByteRange(42, 1233).content_range(1234) == "bytes 42-1233/1234"
    assert ByteRange(42, 1233).size_bytes == 1192


@pytest.mark.parametrize(
    ("if_range", "applies"),
    [
        (None, True),
        ('"a"', True),
        (' "a" ', True),
        ("Tue, 15 Nov 1994 12:45:26 GMT", True),
        ('W/"a"', False),
        ('"b"', False),
        ("Tue, 15 Nov 1994 12:45:27 GMT", False),
        ('"a", "b"', False),
        ("*", False),
        ("", False),
    ],
)
def test_condition_of_a_range_needs_the_very_same_file(if_range: str | None, applies: bool) -> None:  # noqa: FBT001 -- a table
    last_modified = "Tue, 15 Nov 1994 12:45:26 GMT"

    assert range_applies(if_range, etag='"a"', last_modified=last_modified) is applies
