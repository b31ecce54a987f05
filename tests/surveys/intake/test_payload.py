"""Values of a payload as they are taken in."""

import json
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from surveys.intake.payload import BatchIn, PitIn, SiteIn, VisitIn
from surveys.intake.reading import read_visit
from tests.factories.private import put, visit_payload

EXAMPLE = Path(settings.BASE_DIR) / "fixtures" / "payloads" / "submission.json"


def read(pointer: str, value: Any) -> VisitIn:
    visit, faults = read_visit(put(visit_payload(), pointer, value), "")
    assert faults == []
    assert visit is not None
    return visit


def test_documented_example_is_a_batch() -> None:
    batch = BatchIn.model_validate_json(EXAMPLE.read_bytes(), strict=True)

    assert [visit.client_ref for visit in batch.visits] == ["QVD-TRY-01"]


@pytest.mark.parametrize(
    ("sent", "taken"),
    [
        (52, "52"),
        (52.88123, "52.88123"),
        (-0.1 - 0.2, "-0.3"),
        (52.87431812345678, "52.8743181"),
        (52.87431815, "52.8743182"),
        (-90, "-90"),
        (90.0, "90"),
        (1e-9, "0"),
    ],
)
def test_position_is_taken_as_it_will_be_stored(sent: float, taken: str) -> None:
    visit = read("/site/latitude", sent)

    assert visit.site.latitude == Decimal(taken)


@pytest.mark.parametrize(
    ("sent", "taken"), [(20, "20"), (20.0, "20"), (19.75, "19.75"), (0.01, "0.01")]
)
def test_length_is_taken_to_the_last_digit(sent: float, taken: str) -> None:
    visit = read("/pits/0/width_cm", sent)

    assert visit.pits[0].width_cm == Decimal(taken)


@pytest.mark.parametrize(
    ("sent", "hour"),
    [
        ("2025-04-12T10:00:00Z", 10),
        ("2025-04-12T10:00:00+05:00", 5),
        ("2025-04-12 10:00:00-02:00", 12),
    ],
)
def test_senders_clock_is_taken_in_utc(sent: str, hour: int) -> None:
    # RFC 3339, section 4.2: the offset is local time minus UTC
    visit = read("/sent_at", sent)

    assert visit.sent_at == datetime(2025, 4, 12, hour, tzinfo=UTC)
    assert visit.sent_at.tzinfo == UTC


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/note", ""),
        ("/note", "Zwei Gänge,\n\tsehr naß 🐛"),
        ("/note", "a" * 2000),
        ("/client_ref", "A" * 80),
        ("/client_ref", "7.a_B-"),
        ("/people_digging", None),
        ("/people_digging", 200),
        ("/site/uncertainty_m", None),
        ("/site/uncertainty_m", 10_000),
        ("/pits/0/management", []),
        ("/pits/0/management", None),
        ("/pits/0/management", "not_known"),
        ("/pits/0/phases/0/counts/0/number", 0),
        ("/pits/0/phases/0/counts/0/number", 100_000),
        ("/pits/0/phases/0/counts/0/number", None),
        ("/pits/0/phases/0/counts/0/number", "not_looked_for"),
        ("/pits/0/sorting_minutes", 0),
        ("/pits/0/soil/colour", "not_looked_for"),
    ],
)
def test_value_at_its_limit_is_taken_as_sent(pointer: str, value: Any) -> None:
    visit = read(pointer, value)

    part: Any = json.loads(visit.model_dump_json())
    for step in pointer.split("/")[1:]:
        part = part[int(step) if step.isdigit() else step]
    assert part == value


@pytest.mark.parametrize("mode", ["validation", "serialization"])
def test_measures_are_described_as_numbers_not_texts(mode: Any) -> None:
    pit, site = PitIn.model_json_schema(mode=mode), SiteIn.model_json_schema(mode=mode)

    width = pit["properties"]["width_cm"]
    latitude = site["properties"]["latitude"]["anyOf"]
    assert (width["type"], width["exclusiveMinimum"], width["maximum"]) == ("number", 0, 200)
    assert latitude == [{"type": "number", "minimum": -90, "maximum": 90}, {"type": "null"}]
