"""Names; what counts as a settled name follows the open nomenclature signs (common practice)."""

import pytest

from portal.archive.taxa import identify, is_settled, label


@pytest.mark.parametrize(
    ("name", "settled"),
    [
        ("Lumbricidae", True),
        ("Lumbricus terrestris", True),
        ("Aporrectodea caliginosa nocturna", True),
        ("Lumbricus sp.", False),
        ("Lumbricus sp", False),
        ("Lumbricus cf. terrestris", False),
        ("Lumbricus cf terrestris", False),
        ("Lumbricus?", False),
        ("endogeic", False),
        ("dew worm", False),
        ("Lumbricus terrestris Linnaeus, 1758", False),
    ],
)
def test_settled_name_has_no_sign_of_doubt(name: str, *, settled: bool) -> None:
    assert is_settled(name) is settled


@pytest.mark.parametrize(
    ("recorded", "scientific_name", "rank", "genus"),
    [
        (None, "Lumbricidae", "family", ""),
        ("Lumbricidae", "Lumbricidae", "family", ""),
        ("Lumbricus sp.", "Lumbricidae", "family", ""),
        # Authorship: checklist compiled from Sims & Gerard 1999 and Sherlock 2012.
        ("Aporrectodea longa", "Aporrectodea longa (Ude, 1885)", "species", "Aporrectodea"),
        ("Eisenia andrei", "Eisenia andrei", "species", "Eisenia"),
        ("Lumbricus", "Lumbricus", "", ""),
    ],
)
def test_identification_is_the_lowest_settled_name(
    recorded: str | None, scientific_name: str, rank: str, genus: str
) -> None:
    found = identify(recorded, "Lumbricidae", "family")

    assert (found.scientific_name, found.rank, found.genus) == (scientific_name, rank, genus)
    assert found.lineage.family == "Lumbricidae"


def test_identification_outside_the_known_lineages_claims_no_parents() -> None:
    found = identify(None, "Lithobius", "genus")

    assert (found.rank, found.genus) == ("genus", "Lithobius")
    assert (found.lineage.phylum, found.lineage.family, found.lineage.animals) == ("", "", "")


@pytest.mark.parametrize(
    ("recorded", "group", "coarse_taxon", "expected"),
    [
        (None, "endogeic", "Lumbricidae", "endogeic earthworm"),
        (None, "unassigned", "Lumbricidae", ""),
        (None, "epigeic", "Chilopoda", "epigeic"),
        ("Lumbricus sp.", "anecic", "Lumbricidae", "Lumbricus sp."),
    ],
)
def test_label_is_what_the_recorder_chose(
    recorded: str | None, group: str, coarse_taxon: str, expected: str
) -> None:
    lineage = identify(None, coarse_taxon, "family").lineage

    assert label(recorded, group, lineage) == expected
