"""The download: all of one's own, nothing of anybody else's, no reviewer."""

import json
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest

from portal.personal import own_data as module
from portal.personal.own_data import own_data
from surveys.calibration.models import CalibrationTrial
from surveys.people.models import Participant
from surveys.visits.models import Pit
from tests.factories.private import (
    AppealFactory,
    CheckOutcomeFactory,
    ConsentFactory,
    CountFactory,
    DeterminationFactory,
    ParticipantFactory,
    PhaseFactory,
    PhotoFactory,
    PitFactory,
    ReviewerFactory,
    ReviewFactory,
    SiteFactory,
    SoilObservationFactory,
    VisitFactory,
)

pytestmark = pytest.mark.django_db

AT = datetime(2025, 9, 3, 12, tzinfo=UTC)


def read(participant: Participant) -> dict[str, Any]:
    made: dict[str, Any] = json.loads("".join(own_data(participant, at=AT)))
    return made


@pytest.fixture
def recorder() -> Participant:
    """Return a participant with a corrected, reviewed and recounted visit."""
    participant = ParticipantFactory.create(name="Mara Quill", contact="by post")
    ConsentFactory.create(participant=participant)
    visit = VisitFactory.create(
        participant=participant, revision=2, note="Häher im Baum", client_ref="V-corrected"
    )
    PitFactory.create(visit=visit, revision=1, habitat="hedge")
    pit = PitFactory.create(visit=visit, latitude=Decimal("52.8800001"), longitude=Decimal(-1))
    SoilObservationFactory.create(pit=pit)
    count = CountFactory.create(phase=PhaseFactory.create(pit=pit))
    reviewer = ReviewerFactory.create(code="SECRET-REVIEWER")
    DeterminationFactory.create(count=count, determined_by=reviewer)
    review = ReviewFactory.create(
        visit=visit,
        reviewer=reviewer,
        decision="declined",
        reason_code="not-sorted",
        message="Sorry.",
    )
    AppealFactory.create(against=review)
    CheckOutcomeFactory.create(
        visit=visit, label="VALIDATION_COUNTS_LIKELY", result="NOT_COMPLIANT", comment="Many."
    )
    return participant


def test_person_consents_and_exact_places_are_there(recorder: Participant) -> None:
    made = read(recorder)

    assert made["participant"]["name"] == "Mara Quill"
    assert made["participant"]["household"] == recorder.household
    assert [(one["purpose"], one["decision"]) for one in made["consents"]] == [("publish", "given")]
    (place,) = made["places"]
    assert (place["latitude"], place["longitude"]) == (52.8812345, -0.7234567)
    assert place["code"] == made["visits"][0]["place"]
    assert made["made_at"] == "2025-09-03T12:00:00Z"


def test_every_revision_is_there_with_pits_counts_and_later_counts(recorder: Participant) -> None:
    (visit,) = read(recorder)["visits"]

    assert (visit["reference"], visit["note"]) == ("V-corrected", "Häher im Baum")
    assert [
        (one["revision"], [pit["habitat"] for pit in one["pits"]]) for one in visit["revisions"]
    ] == [
        (1, ["hedge"]),
        (2, ["lawn"]),
    ]
    pit = visit["revisions"][1]["pits"][0]
    assert (pit["latitude"], pit["longitude"], pit["width_cm"]) == (52.8800001, -1.0, 20.0)
    assert pit["soil"] == [
        {"name": "moisture", "state": "counted", "value": "moist", "method": "squeeze"}
    ]
    (count,) = pit["steps"][0]["counts"]
    assert (count["group"], count["stage"], count["number"]) == ("endogeic", "adult", 3)
    (later,) = count["counted_again"]
    assert later["number"] == 2
    assert later["reason"].startswith("The saddle decides the stage")


def test_decisions_come_with_reasons_in_words_and_without_the_reviewer(
    recorder: Participant,
) -> None:
    text = "".join(own_data(recorder, at=AT))

    (visit,) = json.loads(text)["visits"]
    (decision,) = visit["decisions"]
    assert decision["decision"] == "declined"
    assert decision["reason"].startswith("The soil was not sorted to the end")
    assert decision["message"] == "Sorry."
    assert [appeal["text"] for appeal in visit["appeals"]] == ["The soil was sorted to the end."]
    assert [question["comment"] for question in visit["open_questions"]] == ["Many."]
    assert "SECRET-REVIEWER" not in text


def test_photos_are_told_with_the_pit_and_why_one_was_refused(recorder: Participant) -> None:
    pit = Pit.objects.get(visit__participant=recorder, revision=2)
    PhotoFactory.create(
        pit=pit,
        state="refused",
        reason_code="shows-face",
        decided_at=AT,
        decided_by=ReviewerFactory.create(code="SECRET-REVIEWER-2"),
    )

    text = "".join(own_data(recorder, at=AT))

    older, newer = json.loads(text)["visits"][0]["revisions"]
    (photo,) = newer["pits"][0]["photos"]
    assert older["pits"][0]["photos"] == []
    assert (photo["kind"], photo["state"]) == ("soil", "refused")
    assert photo["reason"] == "A person can be recognised."
    assert "SECRET-REVIEWER" not in text


def test_trials_hold_the_persons_own_numbers_and_not_the_other_observers(
    recorder: Participant,
) -> None:
    neighbour = ParticipantFactory.create(group=recorder.group, code="NEIGHBOUR")
    pairs = ((recorder, neighbour), (neighbour, recorder))
    for number, (observer, first) in enumerate(pairs):
        trial = CalibrationTrial.objects.create(
            group=recorder.group,
            protocol=recorder.visits.get().protocol,
            step="hand_sort",
            held_on=AT.date(),
            recorded_at=AT,
            client_ref=f"T{number}",
            kind="two_observers",
            observer=observer,
            first_observer=first,
        )
        trial.lines.create(group="endogeic", stage="adult", known=7, observed=5)

    text = "".join(own_data(recorder, at=AT))

    trials = json.loads(text)["trials"]
    assert [(one["reference"], one["counts"][0]["number"]) for one in trials] == [
        ("T0", 5),
        ("T1", 7),
    ]
    assert "NEIGHBOUR" not in text


def test_nothing_of_others_is_there(recorder: Participant) -> None:
    neighbour = ParticipantFactory.create(group=recorder.group, code="NEIGHBOUR")
    garden = SiteFactory.create(
        owner=neighbour, code="their-garden", latitude=Decimal("51.1234567")
    )
    VisitFactory.create(participant=neighbour, site=garden, client_ref="V-theirs")
    VisitFactory.create(participant=recorder, site=garden, client_ref="V-at-theirs")

    text = "".join(own_data(recorder, at=AT))

    made = json.loads(text)
    assert [visit["reference"] for visit in made["visits"]] == ["V-corrected", "V-at-theirs"]
    assert made["visits"][1]["place"] == "their-garden", "by its code, as in what they sent"
    for private in ("51.1234567", "V-theirs", "NEIGHBOUR"):
        assert private not in text


def test_participant_without_records_gets_a_whole_file() -> None:
    made = read(ParticipantFactory.create())

    assert (made["visits"], made["places"], made["consents"]) == ([], [], [])


def test_visits_come_in_portions_and_each_once(
    recorder: Participant, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "VISITS_AT_ONCE", 3)
    for _ in range(7):
        PitFactory.create(visit=VisitFactory.create(participant=recorder))

    made = read(recorder)

    assert len({visit["reference"] for visit in made["visits"]}) == len(made["visits"]) == 8
    assert all(visit["revisions"] for visit in made["visits"])
