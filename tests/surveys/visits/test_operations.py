"""Facts become rows and nothing is lost; a correction keeps the rows before it."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID, uuid4

import pytest

from surveys.visits.facts import VisitFacts
from surveys.visits.models import Count, Phase, Pit, Visit, VisitState
from surveys.visits.operations import Provenance, determine, replace_visit, store_visit
from tests.factories.private import (
    NOW,
    CountFactory,
    DeterminationFactory,
    ReviewerFactory,
    SiteFactory,
    loaded,
)
from tests.surveys.checks.visits import count, drench, hand_sort, not_poured, pit, soil
from tests.surveys.checks.visits import visit as facts_of

pytestmark = pytest.mark.django_db

PAIR = facts_of(pits=(pit(1), pit(2, phases=(hand_sort(0, 0, 0, 0), not_poured()))))


@pytest.fixture
def provenance() -> Provenance:
    site = SiteFactory.create()
    return Provenance(
        group=site.group,
        protocol=loaded("contrast-pit/2"),
        participant=site.owner,
        site=site,
        payload_sha256="a" * 64,
        sent_at=NOW - timedelta(hours=1),
        received_at=NOW,
    )


def lines(pit_row: Pit) -> list[tuple[str, str, str, str, int | None]]:
    """Return step, group, stage, state and number of every line, in the order stored."""
    rows = Count.objects.filter(phase__pit=pit_row).order_by("phase_id", "id")
    return list(rows.values_list("phase__kind", "group", "stage", "state", "number"))


def test_visit_is_stored_with_where_it_came_from(provenance: Provenance) -> None:
    stored = store_visit(facts=PAIR, provenance=provenance)

    visit = Visit.objects.get(pk=stored.pk)
    assert (visit.group, visit.participant) == (provenance.group, provenance.participant)
    assert (visit.site, visit.protocol) == (provenance.site, provenance.protocol)
    assert (visit.payload_sha256, visit.sent_at) == ("a" * 64, NOW - timedelta(hours=1))
    assert (visit.client_ref, visit.visited_on) == ("QVD-S01", date(2025, 4, 12))
    assert (visit.people_digging, visit.note) == (2, PAIR.note)
    assert (visit.state, visit.revision, visit.note_approved) == ("in_review", 1, False)


def test_pit_is_stored_as_dug(provenance: Provenance) -> None:
    dug = pit(
        management=("mown", "manured"),
        depth_cm=Decimal("19.5"),
        total=9,
        latitude=Decimal("52.8812300"),
        longitude=Decimal("-0.7234500"),
    )

    visit = store_visit(facts=facts_of(pits=(dug,)), provenance=provenance)

    (row,) = visit.current_pits()
    assert (row.number, row.habitat, row.management) == (1, "lawn", ["mown", "manured"])
    assert (row.width_cm, row.length_cm, row.depth_cm) == (20, 20, Decimal("19.50"))
    assert (row.sorting_minutes, row.sorted_to_end, row.total) == (16, True, 9)
    assert (row.latitude, row.longitude) == (Decimal("52.8812300"), Decimal("-0.7234500"))


@pytest.mark.parametrize(
    ("management", "unknown"), [(("mown",), False), ((), False), (None, True), (None, False)]
)
def test_management_listed_none_unknown_and_blank_stay_apart(
    *, provenance: Provenance, management: tuple[str, ...] | None, unknown: bool
) -> None:
    told = pit(management=management, management_unknown=unknown)

    visit = store_visit(facts=facts_of(pits=(told,)), provenance=provenance)

    (row,) = visit.current_pits()
    expected = None if management is None else list(management)
    assert (row.management, row.management_unknown) == (expected, unknown)


def test_every_step_and_line_is_stored_in_the_order_of_the_kit(provenance: Provenance) -> None:
    visit = store_visit(facts=PAIR, provenance=provenance)

    _, second = visit.current_pits()
    steps = list(second.phases.values_list("kind", "state", "agent", "volume_ml", "wait_min"))
    assert steps == [
        ("hand_sort", "done", "", None, None),
        ("expellant", "not_done", "", None, None),
    ]
    assert lines(second) == [
        ("hand_sort", "epigeic", "adult", "counted", 0),
        ("hand_sort", "endogeic", "adult", "counted", 0),
        ("hand_sort", "anecic", "adult", "counted", 0),
        ("hand_sort", "unassigned", "juvenile", "counted", 0),
        ("expellant", "epigeic", "adult", "not_looked_for", None),
        ("expellant", "endogeic", "adult", "not_looked_for", None),
        ("expellant", "anecic", "adult", "not_looked_for", None),
        ("expellant", "unassigned", "juvenile", "not_looked_for", None),
    ]


def test_what_was_poured_and_felt_is_stored(provenance: Provenance) -> None:
    texture = replace(soil("texture", ""), state="not_looked_for")
    observed = pit(phases=(drench(1, 0, 0, 0),), soil=(soil("moisture", "wet", "squeeze"), texture))

    visit = store_visit(facts=facts_of(pits=(observed,)), provenance=provenance)

    (row,) = visit.current_pits()
    poured = row.phases.values_list("agent", "volume_ml", "wait_min")
    assert list(poured) == [("mustard water", 500, 5)]
    assert list(row.soil.values_list("name", "state", "value", "method")) == [
        ("moisture", "counted", "wet", "squeeze"),
        ("texture", "not_looked_for", "", ""),
    ]


def test_named_taxon_is_stored_beside_its_group(provenance: Provenance) -> None:
    named = (count("anecic", 2, taxon="Lumbricus terrestris"), count("anecic", 1))
    sorted_out = replace(hand_sort(0, 0, 0, 0), counts=named)

    visit = store_visit(facts=facts_of(pits=(pit(phases=(sorted_out,)),)), provenance=provenance)

    rows = Count.objects.filter(phase__pit__visit=visit).order_by("id")
    assert list(rows.values_list("taxon", "number")) == [("Lumbricus terrestris", 2), ("", 1)]


def corrected(visit: Visit, facts: VisitFacts, provenance: Provenance) -> Visit:
    replace_visit(visit=visit, facts=facts, provenance=provenance)
    return Visit.objects.get(pk=visit.pk)


def test_correction_is_the_next_revision_and_waits_for_review(provenance: Provenance) -> None:
    visit = store_visit(facts=PAIR, provenance=provenance)
    Visit.objects.update(state=VisitState.ACCEPTED, note_approved=True)
    visit.refresh_from_db()
    later = replace(provenance, payload_sha256="b" * 64, received_at=NOW + timedelta(days=1))

    visit = corrected(visit, replace(PAIR, note="Corrected.", people_digging=3), later)

    assert (visit.revision, visit.state, visit.note_approved) == (2, "in_review", False)
    assert (visit.note, visit.people_digging) == ("Corrected.", 3)
    assert (visit.payload_sha256, visit.received_at) == ("b" * 64, NOW + timedelta(days=1))
    assert visit.client_ref == "QVD-S01"


def test_correction_keeps_pits_and_determinations_of_before(provenance: Provenance) -> None:
    visit = store_visit(facts=PAIR, provenance=provenance)
    before = {pit_row.pk: lines(pit_row) for pit_row in visit.current_pits()}
    old_line = Count.objects.filter(phase__pit__visit=visit).order_by("id")[0]
    DeterminationFactory.create(count=old_line, number=7)

    visit = corrected(visit, facts_of(pits=(pit(1, phases=(hand_sort(9, 9, 9, 9),)),)), provenance)

    assert {row.pk: lines(row) for row in visit.pits.filter(revision=1)} == before
    assert [row.number for row in old_line.determinations.all()] == [7]
    (now,) = visit.current_pits()
    assert [line[-1] for line in lines(now)] == [9, 9, 9, 9]
    assert Count.objects.filter(phase__pit=now, determinations__isnull=False).count() == 0


Key = tuple[object, ...]


def published(visit: Visit) -> dict[Key, UUID | None]:
    """Return public ids of what a visit shows today, by pit, step and line."""
    pits = visit.current_pits()
    found: dict[Key, UUID | None] = {(row.number,): row.public_id for row in pits}
    for phase in Phase.objects.filter(pit__in=pits).select_related("pit"):
        step = (phase.pit.number, phase.kind)
        found[step] = phase.public_id
        found |= {(*step, line.group, line.stage): line.public_id for line in phase.counts.all()}
    return found


def publish(visit: Visit) -> dict[Key, UUID | None]:
    for pit_row in visit.current_pits():
        Pit.objects.filter(pk=pit_row.pk).update(public_id=uuid4())
        for phase in pit_row.phases.all():
            Phase.objects.filter(pk=phase.pk).update(public_id=uuid4())
            for line in phase.counts.all():
                Count.objects.filter(pk=line.pk).update(public_id=uuid4())
    return published(visit)


def test_public_ids_move_to_the_same_pit_step_and_line(provenance: Provenance) -> None:
    visit = store_visit(facts=PAIR, provenance=provenance)
    before = publish(visit)
    turned_round = tuple(replace(p, phases=p.phases[::-1]) for p in PAIR.pits[::-1])

    visit = corrected(visit, replace(PAIR, pits=turned_round), provenance)

    assert len(before) == 2 + 4 + 16
    assert None not in before.values()
    assert published(visit) == before
    old = visit.pits.filter(revision=1)
    assert not old.filter(public_id__isnull=False).exists()
    assert not Phase.objects.filter(pit__in=old, public_id__isnull=False).exists()
    assert not Count.objects.filter(phase__pit__in=old, public_id__isnull=False).exists()


def test_public_id_of_what_is_gone_is_given_to_nothing_else(provenance: Provenance) -> None:
    visit = store_visit(facts=PAIR, provenance=provenance)
    before = publish(visit)
    fewer = replace(PAIR, pits=(replace(PAIR.pits[0], phases=PAIR.pits[0].phases[:1]),))

    visit = corrected(visit, fewer, provenance)

    after = published(visit)
    assert after == {key: before[key] for key in after}
    assert set(before) - set(after) == {
        key for key in before if key[0] == 2 or key[1:2] == ("expellant",)
    }


def test_line_that_was_never_published_gets_no_public_id(provenance: Provenance) -> None:
    visit = store_visit(facts=facts_of(pits=(PAIR.pits[0],)), provenance=provenance)
    publish(visit)

    visit = corrected(visit, PAIR, provenance)

    assert {value for key, value in published(visit).items() if key[0] == 2} == {None}


def test_determinations_are_numbered_and_none_is_overwritten() -> None:
    line = CountFactory.create(number=3)
    reviewer = ReviewerFactory.create()

    for number in (5, 0):
        determine(
            count=line, number=number, reviewer=reviewer, at=NOW, reason_code="saddle-shows-stage"
        )

    history = line.determinations.values_list("sequence", "number", "determined_by__code")
    assert list(history) == [(1, 5, reviewer.code), (2, 0, reviewer.code)]
    line.refresh_from_db()
    assert (line.number, line.state) == (3, "counted")
