"""Dates of ISO 8601; valid ones are the examples of the Darwin Core term eventDate (2026-05-26)."""

from datetime import date

import pytest

from portal.checkarchive.calendar_days import Span, is_day_interval, span_of

EXAMPLES = {
    "1963-03-08T14:07-06:00": (date(1963, 3, 8), date(1963, 3, 8)),
    "2009-02-20T08:40Z": (date(2009, 2, 20), date(2009, 2, 20)),
    "2018-08-29T15:19": (date(2018, 8, 29), date(2018, 8, 29)),
    "1809-02-12": (date(1809, 2, 12), date(1809, 2, 12)),
    "1906-06": (date(1906, 6, 1), date(1906, 6, 30)),
    "1971": (date(1971, 1, 1), date(1971, 12, 31)),
    "2007-03-01T13:00:00Z/2008-05-11T15:30:00Z": (date(2007, 3, 1), date(2008, 5, 11)),
    "1900/1909": (date(1900, 1, 1), date(1909, 12, 31)),
    "2007-11-13/15": (date(2007, 11, 13), date(2007, 11, 15)),
}


@pytest.mark.parametrize("text", list(EXAMPLES))
def test_example_of_the_standard_is_read(text: str) -> None:
    span = span_of(text)

    assert span is not None
    assert (span.first_on, span.last_on) == EXAMPLES[text]


@pytest.mark.parametrize(
    ("text", "last_on"),
    [
        ("2024-02", date(2024, 2, 29)),
        ("2026-04-12/05-02", date(2026, 5, 2)),
        ("2026-04-12T09:00Z/11:30Z", date(2026, 4, 12)),
        ("2026-04-12T09:00:00.5+01:00/2026-04-12T10:00:00+01:00", date(2026, 4, 12)),
        ("2026-04/2026-05-02", date(2026, 5, 2)),
    ],
)
def test_last_day_is_told(text: str, last_on: date) -> None:
    span = span_of(text)

    assert span is not None
    assert span.last_on == last_on


@pytest.mark.parametrize(
    "text",
    [
        "",
        "12.04.2026",
        "04/12/2026",
        "2026-4-12",
        "2026-02-30",
        "2026-13",
        "2026-04-12 09:00",
        "2026-04-12T25:00",
        "26",
        "0000-01-01",
        "2026-04-12/",
        "/2026-04-12",
        "2026-04-12/yesterday",
        "2026-04-12/40",
        "\u0662\u0660\u0662\u0666",
    ],
)
def test_what_is_no_date_is_refused(text: str) -> None:
    assert span_of(text) is None


def test_interval_keeps_the_parts_it_shares() -> None:
    assert span_of("2026-04-12/15") == Span(date(2026, 4, 12), date(2026, 4, 15), 2026, 4, None)


@pytest.mark.parametrize(
    ("text", "expected"),
    [("2007-11-13/15", True), ("2026-04-12", False), ("2026-04-12T09Z/2026-04-12T10Z", False)],
)
def test_interval_of_days_is_known(text: str, *, expected: bool) -> None:
    assert is_day_interval(text) is expected
