"""Words that come from outside are those of their source."""

import csv

from surveys.protocol.vocabulary import HABITATS, MANAGEMENT, Fizz, Moisture, Texture
from tests.conformance.standards import SHARED, needs_shared
from tests.reference_tables import rows


def test_fizz_words_are_those_of_the_field_book_and_of_vinegar() -> None:
    # reference kit, effervescence.csv: USDA Field Book (Schoeneberger et al. 2012), 1 M acid
    table = rows("effervescence.csv")
    field_book = [row["class_name"] for row in table if row["scheme"] == "usda 1 M HCl"]
    vinegar = {row["class_name"] for row in table if row["scheme"] == "household vinegar"}

    assert Fizz.values[:-1] == field_book
    assert vinegar == {Fizz.NONE, Fizz.SEEN}


def test_squeeze_scale_is_that_of_the_reference_driest_first() -> None:
    # reference kit, moisture.csv: project judgement, mapped to the bands of USDA-NRCS
    scale = [
        row["classes_or_step"]
        for row in rows("moisture.csv")
        if row["scheme"] == "squeeze scale for volunteers"
    ]

    assert scale == Moisture.values


def test_texture_words_are_the_three_of_the_simple_key() -> None:
    # reference kit, texture_by_feel.csv
    simple = {row["three_class"] for row in rows("texture_by_feel.csv") if row["form"] == "simple"}

    assert simple == set(Texture.values)


def reference_words(kind: str) -> dict[str, str]:
    """Return words and EUNIS 2012 codes of the reference kit, habitat_vocabulary.csv."""
    with (SHARED / "reference" / "habitat_vocabulary.csv").open(encoding="utf-8") as lines:
        table = [row for row in csv.DictReader(lines) if row["kind"] == kind]
    return {row["term"]: row["eunis_2012"] for row in table}


@needs_shared
def test_habitats_are_those_of_the_reference_some_in_fewer_words() -> None:
    words = list(zip(HABITATS.items(), reference_words("habitat").items(), strict=True))

    # one term has two codes: the first is that of ground that is dug over
    differing = [
        (ours, term)
        for (ours, (_, code)), (term, codes) in words
        if not set(ours.split()) <= set(term.split()) or code != codes.partition(" or ")[0]
    ]
    assert len(words) == 27
    assert differing == []


@needs_shared
def test_management_is_that_of_the_reference_and_mulching() -> None:
    expected = set(reference_words("management")) - {"not known"} | {"mulched"}

    assert set(MANAGEMENT) == expected
