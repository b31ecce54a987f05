"""Check 4, how data files are written: nothing that needs quoting or breaks a reader."""

import unicodedata

import pytest

from tests.conformance.conftest import TIDY_TEXT, Written
from tests.conformance.reading import Archive

FILES_OF_FORMS = [
    ("archive", "event.txt"),
    ("archive", "occurrence.txt"),
    ("archive", "humboldt.txt"),
    ("archive", "extendedmeasurementorfact.txt"),
    ("flat", "occurrence.txt"),
]

# Words for "nothing" that consumers take for values (faults publicly reported).
WORDS_FOR_NOTHING = {"NULL", "null", "None", "\\N", "NA", "N/A", "nan", "NaN"}


@pytest.fixture(params=FILES_OF_FORMS, ids="-".join)
def text(written: Written, request: pytest.FixtureRequest) -> str:
    """Return one data file."""
    form, name = request.param
    archive: Archive = getattr(written, form)
    return archive.members[name].decode("utf-8")


def test_file_is_utf8_without_byte_order_mark(text: str) -> None:
    assert not text.startswith("\ufeff")
    assert unicodedata.is_normalized("NFC", text)


def test_file_has_no_control_character_but_tab_and_line_feed(text: str) -> None:
    controls = {char for char in text if unicodedata.category(char) in {"Cc", "Zl", "Zp"}}

    assert controls == {"\t", "\n"}


def test_file_ends_each_line_and_has_no_empty_one(text: str) -> None:
    lines = text.split("\n")

    assert lines[-1] == ""
    assert "" not in lines[:-1]


def test_file_has_as_many_fields_in_each_line(text: str) -> None:
    widths = {line.count("\t") for line in text.split("\n")[:-1]}

    assert len(widths) == 1


def test_fields_are_trimmed_and_empty_where_there_is_nothing(text: str) -> None:
    fields = {field for line in text.split("\n") for field in line.split("\t")}

    assert {field for field in fields if field != field.strip()} == set()
    assert fields.isdisjoint(WORDS_FOR_NOTHING)


def test_awkward_text_becomes_one_tidy_field(archive: Archive) -> None:
    methods = {row["measurementMethod"] for row in archive["measurement"]}

    assert TIDY_TEXT in methods
