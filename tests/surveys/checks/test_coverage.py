"""Each row of the programme's two lists is looked at, or says why nothing can.

Lists: fixtures/reference/own_tests.csv and plausibility.csv (programme_tests.README.md).
"""

import csv
from dataclasses import fields
from decimal import Decimal
from pkgutil import resolve_name
from typing import cast

import pytest
from django.conf import settings

from surveys.checks import effort, make_up, pits
from surveys.checks.policy import Action, labels_of
from surveys.checks.registry import programme_checks
from surveys.protocol.definition import CheckParameters, PhaseRule, Protocol, library
from surveys.visits.facts import CountFacts, PhaseFacts, PitFacts, SoilFacts, VisitFacts

LABELS = frozenset(known.label for known in programme_checks())
FOLDER = settings.BASE_DIR / "fixtures" / "reference"
SHARED = settings.BASE_DIR.parent / "shared" / "reference"


def rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


OWN = {row["label"]: row for row in rows("own_tests.csv")}
LIMITS = {(row["field"], row["check"]): row for row in rows("plausibility.csv")}

# Own tests that are no check of one sent visit: what does the work in their place.
ELSEWHERE = {
    "ISSUE_PHOTO_METADATA": ["surveys.photos.picture:rebuilt"],
    "VALIDATION_CONSENT_CURRENT": [
        "portal.publication.eligibility:shown_without_consent",
        "surveys.photos.operations:require_photo_consent",
    ],
    "VALIDATION_VERIFIER_INDEPENDENT": ["surveys.moderation.permissions:require_allowed"],
    "VALIDATION_BLUR_APPLIED": [
        "portal.blurring.release:generalise",
        "portal.checkarchive.rules.places:decimals",
        "portal.checkarchive.rules.places:uncertainty",
    ],
    "VALIDATION_STATUS_COUNT_CONSISTENT": [
        "portal.checkarchive.rules.absence:absent_but_counted",
        "portal.checkarchive.rules.absence:present_but_zero",
    ],
    "VALIDATION_LICENSE_PROGRAMME": [
        "portal.checkarchive.rules.rights:unknown",
        "portal.checkarchive.rules.rights:mixed",
    ],
    "VALIDATION_IDENTIFIER_STABLE": ["portal.publication.versions:IdWithdrawn"],
    "VALIDATION_NO_PRIVATE_FIELD": ["portal.checkarchive.rules.privacy:leak"],
    "VALIDATION_EFFORT_NOTEMPTY": ["portal.archive.humboldt_rows"],
    "MEASURE_VERIFIER_AGREEMENT": ["surveys.moderation.agreement:agreement"],
}
# Own tests that nothing carries out.
OPEN = {
    "VALIDATION_LENGTHRULE_CONSISTENT": "no kit asks for the length of an animal",
    "VALIDATION_ABSENCE_COMPLETE": (
        "publication decides absence for each step (occurrence_status); no test counts its rows"
    ),
    "MEASURE_PAIRED_VISITS": "comparisons tell the pairs they use; a release has no such number",
}
# What follows differs from the list, on purpose.
OTHER_ACTION = {
    "ISSUE_PERSONAL_DATA_IN_TEXT": "hold: the text is never published unread, and a guess may err",
}

# Rows of the plausibility list and the checks that ask about them.
ASKED = {
    ("worms in one pit (0.04 m2)", "too many"): "VALIDATION_COUNTS_LIKELY",
    ("worms in one pit", "scaled by area"): "VALIDATION_COUNTS_LIKELY",
    ("worms in one pit", "zero"): "VALIDATION_ZEROPIT_CONFIRMED",
    ("group and stage counts", "sum differs from total"): "VALIDATION_COUNTS_SUMCONSISTENT",
    ("anecic adults in one pit", "too many"): "VALIDATION_ANECICADULTS_LIKELY",
    ("adult share", "more than"): "VALIDATION_ADULTSHARE_LIKELY",
    ("pit width or length", "outside"): "VALIDATION_PITSIZE_PLAUSIBLE",
    ("pit depth", "outside"): "VALIDATION_PITSIZE_PLAUSIBLE",
    ("sorting time", "less than"): "VALIDATION_SORTINGTIME_LIKELY",
    ("sorting time", "more than"): "VALIDATION_SORTINGTIME_LIKELY",
    (
        "effort",
        "people, minutes, pit size or mustard use missing",
    ): "VALIDATION_EFFORT_COMPLETE",
    ("mustard volume", "outside"): "VALIDATION_EXPELLANT_CONSISTENT",
    ("mustard wait", "less than"): "VALIDATION_EXPELLANT_CONSISTENT",
    ("soil moisture", "class dry or waterlogged"): "VALIDATION_SOILMOISTURE_SUITABLE",
    ("season", "outside main periods"): "VALIDATION_SEASON_PROTOCOL",
    ("colour", "not in Munsell grammar"): "VALIDATION_SOILCOLOUR_STANDARD",
    ("date", "in the future or more than 60 days before entry"): "VALIDATION_SUBMISSION_TIMELY",
    ("location", "accuracy worse than"): "VALIDATION_POSITION_ACCURACY",
    ("duplicate", "same group, place, day and pit label"): "ISSUE_POSSIBLE_DUPLICATE",
}
# Rows about something that a visit does not hold: a word that no field and no soil property has.
NOT_SENT = {
    ("cut worms", "share of total"): "cut",
    ("body length", "too short"): "body",
    ("body length", "too long"): "body",
    ("body length and unit", "value under 36 with unit mm for an adult anecic"): "body",
    ("mass per worm", "too heavy"): "mass",
    ("adult", "no saddle"): "saddle",
    ("juvenile", "saddle present"): "saddle",
    ("length and group", "outside adult range of the named species by"): "body",
    ("mustard strength", "outside"): "strength",
    ("soil temperature", "outside"): "temperature",
    ("air temperature", "outside"): "temperature",
    ("frozen ground", "yes"): "frozen",
    ("time since ploughing", "less than"): "since",
    ("soil pH", "outside"): "ph_",
    ("fizz and pH", "fizz strong while pH below 6.5"): "ph_",
    ("texture and ribbon", "class differs from texture_by_feel.csv result"): "ribbon",
    ("sand + silt + clay", "sum differs from 100 by"): "sand",
    ("Munsell value dry minus moist", "less than"): "colour_dry",
    ("vegetation cover", "sum of layers"): "cover",
    ("penetration", "outside"): "penetration",
}
# Rows that no check of one visit can answer.
BEYOND = {
    ("location and habitat", "pit in open water or sealed ground"): "needs a map of land cover",
    (
        "pits per habitat",
        "fewer than",
    ): "about many visits: comparisons say how many pits they need",
}


def columns_sent() -> set[str]:
    kinds = (VisitFacts, PitFacts, PhaseFacts, CountFacts, SoilFacts)
    return {column.name for kind in kinds for column in fields(kind)} | {
        name for protocol in library() for name in protocol.soil
    }


@pytest.mark.parametrize("label", OWN)
def test_own_test_has_one_answer(label: str) -> None:
    places = [label in LABELS, label in ELSEWHERE, label in OPEN]

    assert places.count(True) == 1


@pytest.mark.parametrize("place", [place for named in ELSEWHERE.values() for place in named])
def test_what_does_the_work_elsewhere_exists(place: str) -> None:
    assert resolve_name(place) is not None


@pytest.mark.parametrize("label", sorted(LABELS & set(OWN)))
def test_what_follows_is_what_the_list_says(label: str) -> None:
    follows = OTHER_ACTION.get(label, OWN[label]["on_fail"]).partition(":")[0]

    assert label in labels_of(cast("Action", follows))


def test_tables_of_answers_name_rows_only() -> None:
    assert {*ELSEWHERE, *OPEN, *OTHER_ACTION} <= set(OWN)
    assert {*ASKED, *NOT_SENT, *BEYOND} == set(LIMITS)
    assert len(ASKED) + len(NOT_SENT) + len(BEYOND) == len(LIMITS)


def test_rows_that_are_asked_about_have_a_check() -> None:
    assert set(ASKED.values()) <= LABELS


@pytest.mark.parametrize(("row", "word"), NOT_SENT.items(), ids=str)
def test_row_without_a_check_is_about_something_not_sent(row: tuple[str, str], word: str) -> None:
    assert row in LIMITS
    assert not [column for column in columns_sent() if word in column]


def limit(field: str, check: str, column: str = "query_when") -> tuple[int, ...]:
    """Return the numbers of a limit: one, or the two ends of a range."""
    return tuple(int(part) for part in LIMITS[(field, check)][column].split()[0].split("-"))


def test_limits_of_protocols_are_those_of_the_list() -> None:
    kit = CheckParameters()
    per_m2 = ("worms in one pit", "scaled by area")

    assert (kit.query_above_per_m2,) == limit(*per_m2)
    assert (kit.refuse_above_per_m2,) == limit(*per_m2, "refuse_when")
    assert kit.depth_query_cm == limit("pit depth", "outside")
    assert kit.depth_refuse_cm == limit("pit depth", "outside", "refuse_when")
    assert kit.sorting_query_min == (
        *limit("sorting time", "less than"),
        *limit("sorting time", "more than"),
    )
    assert (kit.accuracy_query_m,) == limit("location", "accuracy worse than")
    dated = ("date", "in the future or more than 60 days before entry")
    assert (kit.late_after_days,) == limit(*dated)


def test_limits_beside_protocols_are_those_of_the_list() -> None:
    pit_m2 = 0.04

    assert limit("pit width or length", "outside") == pits.SIDE_USUAL_CM
    assert limit("pit width or length", "outside", "refuse_when") == pits.SIDE_REFUSE_CM
    (anecic,) = limit("anecic adults in one pit", "too many")
    assert anecic == pytest.approx(make_up.ANECIC_ADULTS_PER_M2 * pit_m2)
    assert str(make_up.ADULT_SHARE) == LIMITS[("adult share", "more than")]["query_when"]


DRENCHED = [
    (protocol, rule)
    for protocol in library()
    if (rule := protocol.phase("expellant")) is not None and rule.performed
]


@pytest.mark.parametrize(("protocol", "rule"), DRENCHED, ids=[one.name for one, _ in DRENCHED])
def test_drench_that_a_kit_lets_pass_is_plausible(protocol: Protocol, rule: PhaseRule) -> None:
    lowest, highest = limit("mustard volume", "outside")
    area_m2 = protocol.pit.width_cm * protocol.pit.length_cm / 10_000
    litres_per_m2 = (rule.volume_ml or 0) / Decimal(1000) / area_m2

    assert lowest <= litres_per_m2 * (1 - effort.VOLUME_TOLERANCE)
    assert litres_per_m2 * (1 + effort.VOLUME_TOLERANCE) <= highest
    assert (rule.wait_min or 0) >= limit("mustard wait", "less than")[0]


@pytest.mark.skipif(not SHARED.is_dir(), reason="the reference kit is not beside the project")
@pytest.mark.parametrize(
    ("copy", "original", "key"),
    [
        ("own_tests.csv", "bdq/own-tests.csv", ("label", "stage", "on_fail")),
        ("plausibility.csv", "plausibility.csv", ("field", "check", "query_when", "refuse_when")),
    ],
)
def test_copy_is_that_of_the_reference_kit(copy: str, original: str, key: tuple[str, ...]) -> None:
    with (SHARED / original).open(encoding="utf-8", newline="") as lines:
        read = [tuple(row[name] for name in key) for row in csv.DictReader(lines)]

    assert [tuple(row[name] for name in key) for row in rows(copy)] == read
