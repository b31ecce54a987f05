"""The findings of a release, beside those of the API."""

from typing import Any

import pytest

from portal.analysis.findings import Answered, answers_of, deep_animals_of
from portal.records.models import Release
from portal.statistics.comparison_rows import comparison_row
from portal.statistics.findings import Outcome
from portal.statistics.tallies import DRENCHED, SORTED_ONLY
from tests.journeys.actors import Actor

AS_ASKED: dict[str, dict[str, str]] = {
    "tillage-paired": {"by": "management", "first": "direct drilled", "second": "ploughed"},
    "tillage": {"by": "management", "first": "direct drilled", "second": "ploughed"},
    "pasture": {"by": "management", "first": "grazed", "second": "ploughed"},
    "dryness": {"by": "moisture", "first": "dry", "second": "moist,slightly moist"},
    "mulch": {"by": "management", "first": "mulched", "second": "not mulched"},
    "garden": {"by": "habitat", "first": "lawn", "second": "flower bed"},
}


def answer_to(key: str, release: Release) -> Answered:
    (answered,) = [one for one in answers_of(release) if one.question.key == key]
    return answered


def test_tillage_shows(release: Release) -> None:
    (found,) = answer_to("tillage-paired", release).comparisons

    assert found.finding.ratio == pytest.approx(83 / 27)
    assert found.finding.outcome is Outcome.CLEAR


def test_lawn_and_flower_bed_are_not_told_apart(release: Release) -> None:
    (found,) = answer_to("garden", release).comparisons

    assert found.finding.outcome is Outcome.SPANS_ONE
    assert "No clear difference between lawn and flower bed" in found.sentence


def test_one_dry_pit_is_too_few(release: Release) -> None:
    (found,) = answer_to("dryness", release).comparisons

    assert found.finding.outcome is Outcome.TOO_FEW


@pytest.mark.parametrize("key", AS_ASKED)
def test_findings_are_those_of_the_api(release: Release, key: str) -> None:
    answered = answer_to(key, release)
    asked: dict[str, Any] = AS_ASKED[key] | {"pairing": str(answered.question.contrast.pairing)}
    asked |= {column: ",".join(words) for column, words in answered.question.only.items()}

    served = Actor().client.get("/api/v1/comparison", asked).json()

    assert [comparison_row(one) for one in answered.comparisons] == served["data"]
    assert answered.left_out == served["pits_left_out"]


def test_deep_animals_are_told_for_drenched_pits_only(release: Release) -> None:
    lawn, hedge = deep_animals_of(release)

    assert (lawn.ground, lawn.steps, lawn.n_pits, lawn.n_without) == ("lawn", DRENCHED, 2, 1)
    assert lawn.density is not None
    assert lawn.density.per_m2 == pytest.approx(25)  # 2 animals in 0.08 m2
    assert lawn.sentence.endswith("none in 1 of 2 pits.")
    assert (hedge.ground, hedge.kit, hedge.steps) == ("hedge", "school-pit/1", SORTED_ONLY)
    assert (hedge.density, hedge.n_without) == (None, None)
    assert hedge.sentence == "hedge: 1 pit says nothing, as nothing was poured."
