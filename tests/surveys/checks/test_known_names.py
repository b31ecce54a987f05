"""Names and codes of a group in a text; all are invented."""

import time

import pytest

from surveys.checks.known_names import codes_in, names_in


def told(text: str, spans: object) -> list[str]:
    assert isinstance(spans, list)
    return sorted({text[start:end] for start, end in spans})


@pytest.mark.parametrize(
    ("name", "text", "found"),
    [
        ("Tamsin Oddwell", "tamsin met the ODDWELLS", ["tamsin"]),
        ("Tamsin Oddwell 2", "Tamsin dug", ["Tamsin"]),
        ("Rose Field", "the rose field", ["rose field"]),
        ("Rose Field", "a rose in the field", []),
        ("Li Wu", "Li saw Wu", []),
        ("Li Wu", "Li  Wu", ["Li  Wu"]),
        ("O'Quill", "o'quill dug", ["o'quill", "quill"]),
        ("Ash Rowan", "under ash and rowan", []),
        ("山田 空", "山田が掘った、空は青い", ["山田"]),
        ("", "anything", []),
    ],
)
def test_name_is_found_whole_or_by_a_telling_part(name: str, text: str, found: list[str]) -> None:
    assert told(text, list(names_in(text, [name]))) == found


@pytest.mark.parametrize(
    ("code", "text", "found"),
    [
        ("QVD-07", "qvd 07, QVD/07 and QVD_07", ["QVD/07", "QVD_07", "qvd 07"]),
        ("QVD-07", "QVD-071, QVD, 07", []),
        ("QVD-07", "xQVD-07", []),
        ("P12", "P12", ["P12"]),
        ("P1", "P1", []),
        ("garden-1", "garden 1", []),
        ("house-7", "house 7", []),
        ("12345", "12345", []),
        ("Thornbury", "at thornbury's gate", ["thornbury's"]),
        ("mill-cottage", "the mill cottage", []),
        ("old-mill-thornbury", "old mill Thornbury", ["old mill Thornbury"]),
        ("old-mill-thornbury", "the old mill", []),
        ("Quillon Village Diggers", "quillon village diggers", ["quillon village diggers"]),
        ("", "anything", []),
    ],
)
def test_code_is_found_however_it_is_joined(code: str, text: str, found: list[str]) -> None:
    assert told(text, list(codes_in(text, [code]))) == found


def test_thousands_of_codes_are_made_plain_once() -> None:
    codes = [f"QVD-{number:04}" for number in range(3000)]
    list(codes_in("Damp.", codes))

    started = time.perf_counter()
    for number in range(50):
        list(codes_in("Damp, of QVD 2999.", [*codes, f"NEW-{number}"]))

    assert time.perf_counter() - started < 3  # 60 ms a note; 1 600 ms if made plain each time
