"""The three kinds of nothing stay apart from what is sent, through the facts, to the rows."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pytest

from surveys.intake.as_facts import visit_facts
from surveys.intake.reading import read_visit
from surveys.intake.resolving import resolve
from surveys.people.models import Group
from surveys.visits.facts import CountFacts, PhaseFacts, VisitFacts
from surveys.visits.models import Count, Pit, SoilObservation, Visit
from tests.factories.private import (
    Payload,
    counts_payload,
    pit_payload,
    put,
    sending_group,
    stored_visit,
    visit_payload,
)

pytestmark = pytest.mark.django_db

COUNTED, NOT_LOOKED_FOR, NOT_ENTERED = "counted", "not_looked_for", "not_entered"
SCHOOL, CONTRAST = "school-pit/1", "contrast-pit/2"


@pytest.fixture
def group() -> Group:
    return sending_group()


def facts_of(group: Group, payload: Payload) -> VisitFacts:
    visit, faults = read_visit(payload, "")
    assert visit is not None, faults
    resolved, faults = resolve(visit, group, "")
    assert resolved is not None, faults
    return visit_facts(resolved, group)


def sent_with(steps: list[Payload], protocol: str = CONTRAST) -> Payload:
    return visit_payload(protocol=protocol, pits=[pit_payload(phases=steps, total=None)])


def sorted_out(**changes: Any) -> Payload:
    return {"kind": "hand_sort", "done": True, "counts": counts_payload(1, 3, 0, 4)} | changes


def one_line(number: Any) -> list[Payload]:
    return [{"group": "anecic", "stage": "adult", "number": number}]


DONE = {"yes": True, "no": False, "blank": None}


@dataclass(frozen=True)
class Nothing:
    """A hand sort as sent, and what becomes of a step and its line of anecic adults."""

    done: str
    number: Any  # a list for a step without lines
    state: str
    line: tuple[str, int | None]
    step: str = "hand_sort"
    protocol: str = CONTRAST

    @property
    def payload(self) -> Payload:
        """Return the visit as sent."""
        counts = [] if self.number == [] else one_line(self.number)
        return sent_with([sorted_out(done=DONE[self.done], counts=counts)], self.protocol)


NOT_SOUGHT, BLANK = (NOT_LOOKED_FOR, None), (NOT_ENTERED, None)
DRENCH = "expellant"
KINDS_OF_NOTHING = {
    "three": Nothing("yes", 3, "done", (COUNTED, 3)),
    "zero": Nothing("yes", 0, "done", (COUNTED, 0)),
    "told so": Nothing("yes", NOT_LOOKED_FOR, "done", NOT_SOUGHT),
    "null": Nothing("yes", None, "done", BLANK),
    "no line": Nothing("yes", [], "done", BLANK),
    "not done": Nothing("no", [], "not_done", NOT_SOUGHT),
    "not done, null": Nothing("no", None, "not_done", NOT_SOUGHT),
    "unknown": Nothing("blank", [], NOT_ENTERED, BLANK),
    "unknown, null": Nothing("blank", None, NOT_ENTERED, BLANK),
    "unknown, counted": Nothing("blank", 2, NOT_ENTERED, (COUNTED, 2)),
    "unknown, told so": Nothing("blank", NOT_LOOKED_FOR, NOT_ENTERED, NOT_SOUGHT),
    "no step": Nothing("blank", 2, NOT_ENTERED, BLANK, DRENCH),
    "no such step in the kit": Nothing("blank", 2, "not_done", NOT_SOUGHT, DRENCH, SCHOOL),
}
each_kind = pytest.mark.parametrize("kind", KINDS_OF_NOTHING.values(), ids=KINDS_OF_NOTHING.keys())


def step_of(facts: VisitFacts, kind: str) -> PhaseFacts:
    (step,) = [step for step in facts.pits[0].phases if step.kind == kind]
    return step


@each_kind
def test_kind_of_nothing_is_kept_in_the_facts(group: Group, kind: Nothing) -> None:
    step = step_of(facts_of(group, kind.payload), kind.step)

    assert step.state == kind.state
    assert CountFacts("anecic", "adult", "", *kind.line) in step.counts


@each_kind
def test_kind_of_nothing_is_kept_in_the_rows(group: Group, kind: Nothing) -> None:
    stored_visit(group, kind.payload)

    row = Count.objects.get(phase__kind=kind.step, group="anecic", stage="adult")
    assert (row.phase.state, (row.state, row.number)) == (kind.state, kind.line)


def test_every_line_of_the_kit_is_there_once_for_every_step(group: Group) -> None:
    facts = facts_of(group, sent_with([sorted_out(counts=one_line(3)[::-1])]))

    lines = [(line.group, line.stage, line.taxon) for line in facts.pits[0].counts()]
    form = [
        ("epigeic", "adult", ""),
        ("endogeic", "adult", ""),
        ("anecic", "adult", ""),
        ("unassigned", "juvenile", ""),
    ]
    assert [step.kind for step in facts.pits[0].phases] == ["hand_sort", DRENCH]
    assert lines == form * 2


def test_drench_keeps_what_was_poured(group: Group) -> None:
    step = step_of(facts_of(group, visit_payload()), DRENCH)

    assert (step.agent, step.volume_ml, step.wait_min) == ("mustard water", 500, 5)


def test_order_of_steps_and_lines_as_sent_does_not_matter(group: Group) -> None:
    payload = visit_payload()
    turned = visit_payload()
    for pit in turned["pits"]:
        pit["phases"].reverse()
        for step in pit["phases"]:
            step["counts"].reverse()

    assert facts_of(group, turned) == facts_of(group, payload)


@pytest.mark.parametrize(
    ("sent", "listed", "unknown"),
    [
        (["mown", "limed"], ["mown", "limed"], False),
        ([], [], False),
        ("not_known", None, True),
        (None, None, False),
    ],
    ids=["listed", "none of them", "not known", "not entered"],
)
def test_kinds_of_no_management_stay_apart(
    *, group: Group, sent: Any, listed: list[str] | None, unknown: bool
) -> None:
    payload = put(visit_payload(), "/pits/0/management", sent)

    (pit, _) = facts_of(group, payload).pits
    stored_visit(group, payload)

    row = Pit.objects.get(number=1)
    assert pit.management == (None if listed is None else tuple(listed))
    assert pit.management_unknown is unknown
    assert (row.management, row.management_unknown) == (listed, unknown)


ACID = "1 M hydrochloric acid"
SOIL = {
    "moisture": ({"moisture": "wet"}, "wet", "squeeze"),
    "fizz": ({"fizz": "strong", "fizz_acid": ACID}, "strong", ACID),
    "texture": ({"texture": "clay", "texture_key": "full"}, "clay", "full"),
    "colour": ({"colour": "10YR 3/2", "colour_state": "dry"}, "10YR 3/2", "dry"),
}


@pytest.mark.parametrize("name", SOIL)
@pytest.mark.parametrize("kind", ["value", "not_looked_for", "null", "left out"])
def test_kinds_of_no_soil_observation_stay_apart(group: Group, name: str, kind: str) -> None:
    with_value, value, method = SOIL[name]
    sent = {
        "value": with_value,
        "not_looked_for": with_value | {name: NOT_LOOKED_FOR},
        "null": with_value | {name: None},
        "left out": {},
    }[kind]

    stored_visit(group, put(visit_payload(), "/pits/0/soil", sent))

    row = SoilObservation.objects.get(pit__number=1, name=name)
    nothing = {"not_looked_for": NOT_LOOKED_FOR}.get(kind, NOT_ENTERED)
    expected = (COUNTED, value, method) if kind == "value" else (nothing, "", "")
    assert (row.state, row.value, row.method) == expected
    assert SoilObservation.objects.filter(pit__number=1).count() == len(SOIL)


def test_where_and_when_are_those_sent(group: Group) -> None:
    payload = visit_payload(sent_at="2025-04-12T18:00:00+01:00")
    payload["pits"][1] |= {"latitude": 52.8813, "longitude": -0.7235}

    facts = facts_of(group, payload)
    stored_visit(group, payload)

    assert (facts.group_code, facts.participant_code) == ("QVD", "QVD-07")
    assert (facts.site_code, facts.place_kind) == ("QVD-07-1", "private_garden")
    assert (facts.latitude, facts.longitude) == (Decimal("52.88123"), Decimal("-0.72345"))
    assert [pit.number for pit in facts.pits] == [1, 2]
    assert (facts.pits[1].latitude, facts.pits[1].longitude) == (
        Decimal("52.8813"),
        Decimal("-0.7235"),
    )
    sent_at = Visit.objects.get().sent_at
    assert sent_at is not None
    assert sent_at.isoformat() == "2025-04-12T17:00:00+00:00"
