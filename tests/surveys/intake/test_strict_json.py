"""What is JSON to us, and what is refused with a reason (RFC 8259, and stricter)."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveys.intake.strict_json import NotReadable, read_json

READ: tuple[tuple[bytes, Any], ...] = (
    (b"{}", {}),
    (b" \t\r\n[1, 2.5, -3e2, 0.1, -0]\n", [1, 2.5, -300.0, 0.1, 0]),
    (b'{"a": {"b": [true, false, null]}}', {"a": {"b": [True, False, None]}}),
    ('"Größe: Käfer 12 ½"'.encode(), "Größe: Käfer 12 ½"),
    (b'"\\u00e9 \\ud83d\\udc1b \\n"', "é \U0001f41b \n"),
    (b'"[[[[[[[[[[[[[[[[[[[[[[[[[["', "[" * 26),
    (b'"\\"[[[[[[[[[[[[[[[[[[[[[["', '"' + "[" * 22),
    (b'["\\\\", {"]": "}"}]', ["\\", {"]": "}"}]),
    (b"[" * 20 + b"]" * 20, json.loads("[" * 20 + "]" * 20)),
    (b"[" + b"[]," * 40 + b"{}]", [[]] * 40 + [{}]),
    (b"999999999999999999", 10**18 - 1),
    (b"-999999999999999999", 1 - 10**18),
    (b"1e308", 1e308),
    (b"1e-400", 0.0),
)
REFUSED: tuple[tuple[str, bytes, str], ...] = (
    ("nothing", b"", "Not JSON at line 1, column 1"),
    ("blank", b"  \n ", "Not JSON at line 2, column 2"),
    ("no JSON", b"client_ref;number", "Not JSON at line 1, column 1"),
    ("open", b'{"a": 1', "Not JSON at line 1, column 8"),
    ("closed too often", b"[]]", "Not JSON at line 1, column 3"),
    ("two values", b"{} {}", "Not JSON at line 1, column 4"),
    ("comma at the end", b"[1,]", "Not JSON at line 1, column [34]"),
    ("comment", b"[1] // one", "Not JSON at line 1, column 5"),
    ("single quotes", b"{'a': 1}", "Not JSON at line 1, column 2"),
    ("bare key", b"{a: 1}", "Not JSON at line 1, column 2"),
    ("Python word", b"[True]", "Not JSON at line 1, column 2"),
    ("zero in front", b"[012]", "Not JSON at line 1, column 3"),
    ("plus", b"[+1]", "Not JSON at line 1, column 2"),
    ("no digit before the point", b"[.5]", "Not JSON at line 1, column 2"),
    ("no digit after the point", b"[1.]", "Not JSON at line 1, column 3"),
    ("decimal comma", b'{"a": 1,5}', "Not JSON at line 1, column 9"),
    ("digits of another script", "[٣]".encode(), "Not JSON at line 1, column 2"),
    ("digit of another script behind ours", "[1٣]".encode(), "Not JSON at line 1, column 3"),
    ("underscore", b"[1_000]", "Not JSON at line 1, column 3"),
    ("hexadecimal", b"[0x10]", "Not JSON at line 1, column 3"),
    ("raw line break in a text", b'"a\nb"', "Not JSON at line 1, column 3"),
    ("raw NUL in a text", b'"a\x00b"', "Not JSON at line 1, column 3"),
    ("raw NUL", b"[1\x00]", "Not JSON at line 1, column 3"),
    ("wrong escape", b'"\\x41"', "Not JSON at line 1, column 2"),
    ("cut escape", b'"\\u12"', "Not JSON at line 1, column 3"),
    ("not a number", b"[NaN]", "^NaN is not a number in JSON. Use null"),
    ("infinity", b"[Infinity]", "^Infinity is not a number"),
    ("minus infinity", b"[-Infinity]", "^-Infinity is not a number"),
    ("beyond float", b"[1e400]", "^The number 1e400 is too large"),
    ("beyond float below", b"[-1e400]", "^The number -1e400 is too large"),
    ("beyond float in digits", b"9" * 400 + b".5", "^The number 99999999999999999999 is too large"),
    ("19 digits", b"[1000000000000000000]", "^A whole number has more than 18 digits"),
    ("5000 digits", b"7" * 5000, "^A whole number has more than 18 digits"),
    ("key twice", b'{"a": 1, "b": 2, "a": 1}', "^The key 'a' stands twice in one object"),
    ("key twice, deep", b'[{"b": {"a": 1, "\\u0061": 2}}]', "^The key 'a' stands twice"),
    ("key with NUL", b'{"a\\u0000": 1}', r"^The key 'a\\x00' holds a character"),
    ("key with half a pair", b'[{"\\ud800": 1}]', r"^The key '\\ud800' holds a character"),
    ("key with line break", b'{"a\\n": 1}', r"^The key 'a\\n' holds a character"),
    ("deep lists", b"[" * 21 + b"]" * 21, "^Nested deeper than 20 levels"),
    ("deep objects", b'{"a":' * 21 + b"1" + b"}" * 21, "^Nested deeper than 20 levels"),
    ("very deep", b"[" * 1_000_000, "^Nested deeper than 20 levels"),
    ("deep behind an escaped quote", b'["\\\\"' + b",[" * 21, "^Nested deeper than 20 levels"),
    ("no UTF-8", b'"caf\xe9"', "^Byte 4 is not UTF-8. Save the text as UTF-8"),
    ("UTF-8 of half a pair", b'"\xed\xa0\x80"', "^Byte 1 is not UTF-8"),
    ("overlong UTF-8", b'"\xc0\xa2"', "^Byte 1 is not UTF-8"),
    ("UTF-16", "{}".encode("utf-16"), "^Byte 0 is not UTF-8"),
    ("byte order mark", b"\xef\xbb\xbf{}", "^The text begins with a byte order mark"),
)


# Any value that we read: whole numbers of 18 digits at most, keys that can be shown.
keys = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S")), max_size=5)
scalars = (
    st.none()
    | st.booleans()
    | st.integers(1 - 10**18, 10**18 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=10)
)
values = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(keys, inner, max_size=4),
    max_leaves=15,
)
# Pieces that a JSON text is made of, so that random texts come near to one.
PIECES = [*'[]{},:"\\01-+.e_ ٣½\n\x00\ufeff', '"a"', "\\u", "d800", "400", "NaN", "true", "null"]
pieces = st.lists(st.sampled_from(PIECES), max_size=25).map("".join)


def tried(body: bytes) -> tuple[Any, str]:
    """Return the value, or nothing and why it was refused."""
    try:
        return read_json(body), ""
    except NotReadable as refusal:
        return None, str(refusal)


@pytest.mark.parametrize(("body", "value"), READ)
def test_json_is_read(body: bytes, value: Any) -> None:
    assert read_json(body) == value


@pytest.mark.parametrize(
    ("body", "message"), [case[1:] for case in REFUSED], ids=[case[0] for case in REFUSED]
)
def test_odd_body_is_refused_with_a_reason(body: bytes, message: str) -> None:
    with pytest.raises(NotReadable, match=message) as refusal:
        read_json(body)

    assert len(str(refusal.value)) < 150
    assert str(refusal.value).isprintable()


@given(body=st.binary(max_size=60))
def test_any_bytes_are_read_or_refused(body: bytes) -> None:
    value, reason = tried(body)

    assert reason or value == json.loads(body)


@given(text=pieces)
def test_any_text_near_json_is_read_or_refused(text: str) -> None:
    value, reason = tried(text.encode())

    assert reason.isprintable()
    assert reason or value == json.loads(text)


@given(value=values)
def test_any_plain_value_is_read_as_it_was_written(value: Any) -> None:
    plain, escaped = (json.dumps(value, ensure_ascii=escapes) for escapes in (False, True))

    assert tried(plain.encode()) == tried(escaped.encode()) == (value, "")


@given(
    value=values, cut=st.integers(0, 200), odd=st.sampled_from([b"\x00", b"\xff", b"_", b"[", b'"'])
)
def test_any_text_with_one_odd_byte_is_read_or_refused(value: Any, cut: int, odd: bytes) -> None:
    body = json.dumps(value).encode()

    changed, reason = tried(body[:cut] + odd + body[cut:])

    assert reason or changed == json.loads(body[:cut] + odd + body[cut:])
