"""ISO 8601 as Darwin Core writes it; forms named in the traps of the standard's examples."""

from datetime import date

import pytest

from surveys.checks.bdq.periods import Precision, day_of_year, read_period


@pytest.mark.parametrize(
    ("text", "first", "last", "precision"),
    [
        ("2024", date(2024, 1, 1), date(2024, 12, 31), Precision.YEAR),
        ("1963-03", date(1963, 3, 1), date(1963, 3, 31), Precision.MONTH),
        ("2024-02-29", date(2024, 2, 29), date(2024, 2, 29), Precision.DAY),
        ("2024-060", date(2024, 2, 29), date(2024, 2, 29), Precision.DAY),
        ("2020-W53", date(2020, 12, 28), date(2021, 1, 3), Precision.WEEK),
        ("2020-W53-5", date(2021, 1, 1), date(2021, 1, 1), Precision.DAY),
        ("1963-03-08T14", date(1963, 3, 8), date(1963, 3, 8), Precision.HOUR),
        ("1963-03-08T14:07-0600", date(1963, 3, 8), date(1963, 3, 8), Precision.MINUTE),
        ("1963-03-08T14:07:09.5Z", date(1963, 3, 8), date(1963, 3, 8), Precision.SECOND),
        ("1880-05-08/10", date(1880, 5, 8), date(1880, 5, 10), Precision.DAY),
        ("1880-05-08/06-10", date(1880, 5, 8), date(1880, 6, 10), Precision.DAY),
        ("1980/1981", date(1980, 1, 1), date(1981, 12, 31), Precision.YEAR),
        ("1949-01-15T12:34/T17:00", date(1949, 1, 15), date(1949, 1, 15), Precision.MINUTE),
    ],
)
def test_period_is_read(text: str, first: date, last: date, precision: Precision) -> None:
    period = read_period(text)

    assert period is not None
    assert (period.first_day, period.last_day, period.precision) == (first, last, precision)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "0",
        "63",
        "0000",
        "20210103",
        "2023-02-29",
        "2023-366",
        "2021-W54",
        "2021-13",
        "1963-03-08T4",
        "1963-03-08T14:0",
        "1963-03-08T14:67-0600",
        "1963-03-08T24:00",
        "1963-03-08 14:07",
        "1963-03T14:07",
        "1963-03-08\n",
        " 1963-03-08",
        "1963-03-08/",
        "/1963-03-08",
        "1880-05-08/07",
        "1880-05-08/10/12",
        "1981/1980",
        "1949-01-15T12:34/T11:00",
        "\u0661963",
    ],
)
def test_other_text_is_no_period(text: str) -> None:
    assert read_period(text) is None


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("2007-03-01T13:00:00Z/2008-05-11T15:30:00Z", 37_765_800),  # published example 1071
        ("2007", 31_536_000),  # published example 1072
        ("2024", 31_622_400),  # a leap year
        ("2024-02", 2_505_600),
        ("1880-05-08/10", 259_200),
        ("1963-03-08", 86_400),
        ("1963-03-08T14", 3600),
        ("1963-03-08T14:07", 60),
        ("1963-03-08T14:07:09", 1),
        ("2007-03-01T13:00+02:00/2007-03-01T13:00Z", 7200),
        ("2007-03-01T13:00-0130/2007-03-01T14:30Z", 0),
    ],
)
def test_length_counts_every_day_as_86400_seconds(text: str, seconds: int) -> None:
    period = read_period(text)

    assert period is not None
    assert period.seconds == seconds


def test_day_of_year_outside_the_year_is_refused() -> None:
    assert day_of_year(2023, 365) == date(2023, 12, 31)
    with pytest.raises(ValueError, match="2023 has no day 366"):
        day_of_year(2023, 366)
