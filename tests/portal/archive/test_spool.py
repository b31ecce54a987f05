"""Lines of data files."""

import csv
import io

from hypothesis import given
from hypothesis import strategies as st

from portal.archive.spool import comma_separated, tabbed


def test_tabbed_line_ends_with_a_line_feed() -> None:
    assert tabbed(["a", "", "b c"]) == "a\t\tb c\n"


def test_comma_separated_line_is_quoted_where_rfc_4180_asks_for_it() -> None:
    # RFC 4180, section 2, rules 1, 6 and 7.
    assert comma_separated(["a", "b,c", 'say "so"', ""]) == 'a,"b,c","say ""so""",\r\n'


@given(st.lists(st.text(st.characters(exclude_categories=["Cs", "Cc"])), min_size=2))
def test_comma_separated_line_is_read_back(values: list[str]) -> None:
    (read,) = csv.reader(io.StringIO(comma_separated(values), newline=""))

    assert read == values
