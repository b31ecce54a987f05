"""Facts of a stored visit are those that were sent."""

import pytest

from surveys.intake.as_facts import visit_facts
from surveys.intake.reading import read_visit
from surveys.intake.resolving import resolve
from surveys.visits.stored import facts_of
from tests.factories.private import put, sending_group, stored_visit, visit_payload


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/note", "Wet."),
        ("/pits/0/management", None),
        ("/pits/0/management", "not_known"),
        ("/pits/0/phases/0/counts/1/number", "not_looked_for"),
        ("/pits/0/phases/1", {"kind": "expellant", "done": False}),
    ],
)
def test_stored_facts_are_those_of_the_payload(pointer: str, value: object) -> None:
    group, payload = sending_group(), put(visit_payload(), pointer, value)
    read, _ = read_visit(payload, "")
    assert read is not None
    resolved, _ = resolve(read, group, "")
    assert resolved is not None

    stored = stored_visit(group, payload)

    assert facts_of(stored) == visit_facts(resolved, group)
