"""Dates as people write them: one reading or none."""

import pytest

from surveys.checks.bdq.verbatim_dates import read_date


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("29 October 2021", "2021-10-29"),
        ("Sept. 5, 1978", "1978-09-05"),
        ("5 de mayo de 1978", "1978-05-05"),
        ("3. März 1921", "1921-03-03"),
        ("le 14 août 1990", "1990-08-14"),
        ("viernes 3 de agosto de 1990", "1990-08-03"),
        ("12/xii/1998", "1998-12-12"),
        ("February 2022", "2022-02"),
        ("vi-1921", "1921-06"),
        ("10/1987", "1987-10"),
        ("15/10/1932", "1932-10-15"),
        ("10/15/1932", "1932-10-15"),
        ("11/11/2011", "2011-11-11"),
        ("2021/10/28", "2021-10-28"),
        ("2021-28-10", "2021-10-28"),
        ("20211029", "2021-10-29"),
        ("1932年3月", "1932-03"),
        ("1987", "1987"),
        ("1980's", "1980-01-01/1989-12-31"),
        ("9-12 Aug 1987", "1987-08-09/1987-08-12"),
        ("Oct 1-3, 1987", "1987-10-01/1987-10-03"),
        ("14 Aug - 3 Sep 1999", "1999-08-14/1999-09-03"),
        ("Aug to Sept 1987", "1987-08/1987-09"),
        ("1899-1901", "1899/1901"),
        ("2021-10-28", "2021-10-28"),
        ("1880-05-08/10", "1880-05-08/10"),
    ],
)
def test_text_with_one_reading_is_read(text: str, iso: str) -> None:
    assert read_date(text) == iso


@pytest.mark.parametrize(
    "text",
    [
        "",
        "X",
        "winter 1999",
        "03/04/2020",
        "21-10-28",
        "10-28",
        "28 Oct 21",
        "28 Oct",
        "0377",
        "29 Feb 2023",
        "31.02.1999",
        "1987-13",
        "12 Aug - 9 Aug 1987",
        "Aug Sep Oct 1987",
        "5 6 Aug 1987",
        "10 1987 12",
        "about 1987",
        "1987" + " " * 100,
    ],
)
def test_text_with_no_or_several_readings_is_not_guessed(text: str) -> None:
    assert read_date(text) is None
