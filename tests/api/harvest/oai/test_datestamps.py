"""Spans of time (OAI-PMH 2.0, sections 2.7.1 and 3.3; from memory)."""

import pytest

from api.harvest.oai.datestamps import FIRST, LAST, span_of
from api.harvest.oai.faults import Fault


@pytest.mark.parametrize(
    ("asked", "span"),
    [
        ({}, (FIRST, LAST)),
        ({"from": "2025-06-30"}, ("2025-06-30T00:00:00Z", LAST)),
        ({"until": "2025-06-30"}, (FIRST, "2025-06-30T23:59:59Z")),
        (
            {"from": "2025-06-30", "until": "2025-06-30"},
            ("2025-06-30T00:00:00Z", "2025-06-30T23:59:59Z"),
        ),
        (
            {"from": "2024-02-29T10:00:00Z", "until": "2024-02-29T10:00:00Z"},
            ("2024-02-29T10:00:00Z", "2024-02-29T10:00:00Z"),
        ),
    ],
)
def test_both_ends_are_inclusive_and_a_day_is_whole(
    asked: dict[str, str], span: tuple[str, str]
) -> None:
    assert span_of(asked) == span


@pytest.mark.parametrize("name", ["from", "until"])
@pytest.mark.parametrize(
    "text",
    [
        "", "junk", "2025", "2025-06", "2025-6-30", "2025-02-30", "0000-01-01", "2025-06-30Z",
        "2025-06-30T10:00Z", "2025-06-30T10:00:00", "2025-06-30T10:00:00.0Z",
        "2025-06-30T10:00:00+00:00", "2025-06-30T25:00:00Z", "2025-06-30t10:00:00z",
        "2025-06-30\n", "\uff12\uff10\uff12\uff15-06-30",
    ],
)  # fmt: skip
def test_other_forms_are_refused(name: str, text: str) -> None:
    with pytest.raises(Fault) as caught:
        span_of({name: text})

    assert caught.value.code == "badArgument"


@pytest.mark.parametrize(
    "asked",
    [
        {"from": "2025-06-30", "until": "2025-07-01T00:00:00Z"},
        {"from": "2025-06-30T00:00:00Z", "until": "2025-07-01"},
        {"from": "2025-07-01", "until": "2025-06-30"},
        {"from": "2025-06-30T10:00:01Z", "until": "2025-06-30T10:00:00Z"},
    ],
)
def test_mixed_forms_and_ends_before_the_beginning_are_refused(asked: dict[str, str]) -> None:
    with pytest.raises(Fault) as caught:
        span_of(asked)

    assert caught.value.code == "badArgument"
