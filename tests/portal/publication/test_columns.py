"""Private visits as published columns: what is shown, how coarsely, and what is not."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from portal.archive.edition import edition_of
from portal.blurring import public_place
from portal.publication.columns import (
    Context,
    count_columns,
    filter_text,
    found_in,
    last_number,
    pit_columns,
    season,
    visit_columns,
)
from surveys.visits.models import Phase, Pit, Visit
from tests.factories.private import (
    CountFactory,
    DeterminationFactory,
    PhaseFactory,
    PitFactory,
    SiteFactory,
    SoilObservationFactory,
    VisitFactory,
)
from tests.factories.published import ReleaseFactory
from tests.portal.publication.villages import CELL

AN_ID = "7f3c2f4e-6a5e-4a5e-9d0a-0a4f6d9e1b11"

pytestmark = pytest.mark.django_db


def shown(visit: Visit, cell: str = CELL, **context: Any) -> dict[str, Any]:
    """Return the columns of a visit as if its ids were minted."""
    visit.public_id = visit.site.public_id = AN_ID
    protocol = visit.protocol.read()
    edition = edition_of(ReleaseFactory.build())
    facts = {"group_code": None, "protocol": protocol, "edition": edition} | context
    return visit_columns(visit, list(visit.pits.all()), Context(public_place(cell), **facts))


def pit_shown(**facts: Any) -> dict[str, Any]:
    return pit_columns(PitFactory.create(**{"public_id": AN_ID} | facts))


def test_place_is_the_cell_and_never_the_site() -> None:
    site = SiteFactory.create(latitude=Decimal("52.8876543"), longitude=Decimal("-0.7212345"))

    columns = shown(VisitFactory.create(site=site))

    assert (columns["latitude"], columns["longitude"]) == (52.885, -0.725)
    assert (columns["cell"], columns["precision_deg"]) == (CELL, 0.01)
    assert "52.88765" not in str(columns)
    assert "0.72123" not in str(columns)


def test_place_without_coordinates() -> None:
    columns = shown(VisitFactory.create(), "root")

    for name in ("latitude", "longitude", "uncertainty_m", "precision_deg", "country_code"):
        assert columns[name] is None


@pytest.mark.parametrize("kind", ["private_garden", "farm", "allotment", "public_green"])
def test_day_is_shown_to_the_day(kind: str) -> None:
    site = SiteFactory.create(place_kind=kind)

    columns = shown(VisitFactory.create(site=site, visited_on=date(2024, 2, 29)))

    assert (columns["sampled_on"], columns["date_precision"]) == ("2024-02-29", "day")
    assert columns["sampled_first_on"] == columns["sampled_last_on"] == date(2024, 2, 29)


@pytest.mark.parametrize(
    ("day", "last"),
    [
        (date(2024, 2, 3), date(2024, 2, 29)),
        (date(2025, 2, 28), date(2025, 2, 28)),
        (date(2025, 12, 31), date(2025, 12, 31)),
    ],
)
def test_day_of_a_school_is_shown_as_its_month(day: date, last: date) -> None:
    site = SiteFactory.create(place_kind="school_ground")

    columns = shown(VisitFactory.create(site=site, visited_on=day))

    assert (columns["sampled_on"], columns["date_precision"]) == (f"{day:%Y-%m}", "month")
    assert (columns["sampled_first_on"], columns["sampled_last_on"]) == (day.replace(day=1), last)
    if day not in {columns["sampled_first_on"], last}:
        assert day.isoformat() not in str(columns)


@pytest.mark.parametrize(
    ("note", "approved", "remarks"),
    [("gate code 4711", False, ""), ("Many roots.", True, "Many roots."), ("", True, "")],
)
def test_note_is_shown_only_if_approved(note: str, remarks: str, *, approved: bool) -> None:
    columns = shown(VisitFactory.create(note=note, note_approved=approved))

    assert columns["remarks"] == remarks
    assert ("4711" in str(columns)) is False


# Meteorological seasons, whole months from 1 March (common practice, no source).
@pytest.mark.parametrize(
    ("month", "north", "south"),
    [
        (1, "winter", "summer"),
        (2, "winter", "summer"),
        (3, "spring", "autumn"),
        (5, "spring", "autumn"),
        (6, "summer", "winter"),
        (8, "summer", "winter"),
        (9, "autumn", "spring"),
        (11, "autumn", "spring"),
        (12, "winter", "summer"),
    ],
)
def test_season_follows_the_hemisphere(month: int, north: str, south: str) -> None:
    day = date(2025, month, 1)

    assert (season(day, southern=False), season(day, southern=True)) == (north, south)


def test_season_is_read_from_the_public_place() -> None:
    visit = VisitFactory.create(visited_on=date(2025, 4, 12))

    assert shown(visit, "1|-38|145")["season"] == "autumn"
    assert shown(visit, "1|52|-1")["season"] == "spring"
    assert shown(visit, "root")["season"] == "spring"


@pytest.mark.parametrize(
    ("habitats", "paired"),
    [
        (["lawn"], False),
        (["lawn", "lawn"], False),
        (["lawn", "hedge"], True),
        (["lawn", "hedge", "lawn"], False),
        (["lawn", "hedge", "scrub"], True),
    ],
)
def test_pits_are_paired_if_all_their_habitats_differ(habitats: list[str], *, paired: bool) -> None:
    visit = VisitFactory.create()
    for number, habitat in enumerate(habitats, start=1):
        PitFactory.create(visit=visit, number=number, habitat=habitat)

    assert shown(visit)["paired"] is paired


@pytest.mark.parametrize(
    ("box", "country"),
    [("-2,52,0,53", "GB"), ("-0.73,52.88,-0.72,52.89", "GB"), ("-0.729,52,0,53", None), ("", None)],
)
def test_country_is_named_only_where_the_whole_cell_lies_in_it(
    settings: Any, box: str, country: str | None
) -> None:
    settings.DATASET = settings.DATASET | {"country_code": "GB", "country_box": box}

    assert shown(VisitFactory.create())["country_code"] == country


def test_group_is_named_only_by_the_context() -> None:
    visit = VisitFactory.create()

    assert shown(visit)["group_code"] is None
    assert shown(visit, group_code="QVD")["group_code"] == "QVD"


@pytest.mark.parametrize(
    ("facts", "listed", "state", "text"),
    [
        ({"management": ["mown", "limed"]}, ["limed", "mown"], "listed", "|limed|mown|"),
        ({"management": []}, [], "listed", ""),
        ({"management": None}, None, "not_entered", ""),
        ({"management": None, "management_unknown": True}, None, "not_known", ""),
    ],
)
def test_management_keeps_its_three_kinds_of_nothing(
    facts: dict[str, Any], listed: list[str] | None, state: str, text: str
) -> None:
    columns = pit_shown(**facts)

    assert (columns["management"], columns["management_state"]) == (listed, state)
    assert columns["management_text"] == text


def test_area_is_width_times_length() -> None:
    columns = pit_shown(width_cm=Decimal(25), length_cm=Decimal("12.5"))

    assert columns["area_m2"] == pytest.approx(0.03125, abs=1e-12)


def test_position_of_a_pit_is_never_shown() -> None:
    columns = pit_shown(latitude=Decimal("52.8812345"), longitude=Decimal("-0.7234567"))

    assert not {"latitude", "longitude"} & set(columns)
    assert "52.88" not in str(columns)


def test_soil_keeps_its_three_kinds_of_nothing() -> None:
    pit = PitFactory.create(public_id=AN_ID)
    for name, state, value in (
        ("moisture", "counted", "moist"),
        ("texture", "not_looked_for", ""),
        ("fizz", "not_entered", ""),
    ):
        SoilObservationFactory.create(
            pit=pit, name=name, state=state, value=value, method="vinegar"
        )

    columns = pit_columns(pit)

    assert [columns[name] for name in ("moisture", "texture", "fizz", "colour")] == [
        "moist",
        "not_looked_for",
        None,
        None,
    ]
    assert (columns["fizz_acid"], columns["colour_state"]) == ("vinegar", None)


def step(pit: Pit, kind: str, state: str = "done", **facts: Any) -> Phase:
    made: Phase = PhaseFactory.create(pit=pit, kind=kind, state=state, public_id=None, **facts)
    return made


@pytest.mark.parametrize(
    ("sorting", "drench", "known"),
    [("done", "done", True), ("done", "not_done", True), ("done", "not_entered", False)],
)
def test_effort_is_known_if_each_step_is(sorting: str, drench: str, *, known: bool) -> None:
    pit = PitFactory.create(public_id=AN_ID)
    step(pit, "hand_sort", sorting)
    step(pit, "expellant", drench)

    columns = pit_columns(pit)

    assert columns["effort_known"] is known
    assert (columns["hand_sort"], columns["expellant"]) == (sorting, drench)


def test_step_that_a_kit_does_not_have_was_not_done() -> None:
    pit = PitFactory.create(public_id=AN_ID)
    step(pit, "hand_sort")

    columns = pit_columns(pit)

    assert (columns["expellant"], columns["expellant_agent"], columns["expellant_ml"]) == (
        "not_done",
        None,
        None,
    )


def test_last_determination_holds_and_the_recorders_number_stays_beside_it() -> None:
    phase = PhaseFactory.create(public_id=AN_ID)
    count = CountFactory.create(phase=phase, number=3, public_id=AN_ID)
    DeterminationFactory.create(count=count, sequence=1, number=2)
    DeterminationFactory.create(count=count, sequence=2, number=5)

    columns = count_columns(count, phase, phase.pit.visit.protocol.read())

    assert (columns["number"], columns["number_recorded"]) == (5, 3)
    assert columns["verification"] == "verified by specialist"
    assert last_number(CountFactory.create(phase=phase, stage="juvenile", number=0)) == 0


@pytest.mark.parametrize("state", ["not_looked_for", "not_entered"])
def test_line_without_a_number_keeps_its_state(state: str) -> None:
    phase = PhaseFactory.create(public_id=AN_ID)
    count = CountFactory.create(phase=phase, state=state, number=None, taxon="")

    columns = count_columns(count, phase, phase.pit.visit.protocol.read())

    assert (columns["state"], columns["number"], columns["number_recorded"]) == (state, None, None)
    assert (columns["taxon"], columns["coarse_taxon"]) == (None, "Lumbricidae")
    assert columns["verification"] == "plausibility checked"


def test_animals_of_a_pit_are_those_of_all_steps() -> None:
    pit = PitFactory.create()
    nothing = step(pit, "hand_sort")
    CountFactory.create(phase=nothing, state="not_entered", number=None)
    assert found_in(pit) is None

    CountFactory.create(phase=nothing, stage="juvenile", number=0)
    assert found_in(Pit.objects.get(pk=pit.pk)) == 0

    CountFactory.create(phase=step(pit, "expellant"), number=4)
    assert found_in(Pit.objects.get(pk=pit.pk)) == 4


def test_words_are_written_so_that_whole_ones_can_be_found() -> None:
    assert filter_text(["lawn", "flower bed"]) == "|flower bed|lawn|"
    assert filter_text([]) == ""
