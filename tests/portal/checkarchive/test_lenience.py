"""Archives that differ from ours but keep to the standard are not blamed."""

from pathlib import Path

import pytest

from portal.checkarchive.inspection import inspect_archive
from tests.portal.checkarchive.archives import Draft, event_draft, flat_draft
from tests.portal.checkarchive.cases import EML, EVENTS, FACTS, FINDS, META


def _line_ends_of_two_characters(draft: Draft) -> None:
    for name in [file for file in draft.files if file.endswith(".txt")]:
        draft.files[name] = draft.files[name].replace(b"\n", b"\r\n")
    draft.files[META] = draft.files[META].replace(
        b'linesTerminatedBy="\\n"', b'linesTerminatedBy="\\r\\n"'
    )


def _quoted_commas(draft: Draft) -> None:
    """Write the facts with commas and quotes, one value over two lines."""
    head, _, facts = draft.files[META].decode().rpartition('fieldsTerminatedBy="\\t"')
    facts = facts.replace('fieldsEnclosedBy=""', 'fieldsEnclosedBy="&quot;"', 1)
    draft.files[META] = f'{head}fieldsTerminatedBy=","{facts}'.encode()
    draft.files[FACTS] = (
        b"coreid,measurementID,occurrenceID,measurementType,measurementValue\n"
        b'pit-1,measurement-1,,"soil, ""texture"" class","clay\nloam"\n'
    )


def _newer_words(draft: Draft) -> None:
    text = draft.files[FINDS].decode()
    draft.files[FINDS] = (
        text.replace("present", "detected").replace("absent", "notDetected").encode()
    )


def _without_places(draft: Draft) -> None:
    places = (
        "decimalLatitude decimalLongitude geodeticDatum coordinateUncertaintyInMeters "
        "coordinatePrecision footprintWKT footprintSRS"
    )
    for row in (2, 3, 4):
        draft.put(EVENTS, row, **dict.fromkeys(places.split(), ""))


def _uncounted(draft: Draft) -> None:
    draft.put(FINDS, 2, individualCount="", organismQuantity="", organismQuantityType="")


def _cover_class(draft: Draft) -> None:
    draft.put(
        FINDS, 2, individualCount="", organismQuantity="r", organismQuantityType="cover class"
    )


def _core_in_two_files(draft: Draft) -> None:
    header, *rows = draft.files[EVENTS].decode().splitlines()
    draft.files[EVENTS] = f"{header}\n{rows[0]}\n".encode()
    draft.files["pits.txt"] = f"{header}\n{rows[1]}\n{rows[2]}\n".encode()
    draft.swap(META, f"{EVENTS}</location>", f"{EVENTS}</location><location>pits.txt</location>")


def _year_of_publication_alone(draft: Draft) -> None:
    draft.swap(EML, "<pubDate>2026-05-02", "<pubDate>2026")


@pytest.mark.parametrize(
    "change",
    [
        _line_ends_of_two_characters,
        _quoted_commas,
        _newer_words,
        _without_places,
        _uncounted,
        _cover_class,
        _core_in_two_files,
        _year_of_publication_alone,
    ],
)
def test_other_way_to_write_an_archive_has_no_finding(change: object, tmp_path: Path) -> None:
    draft = event_draft()
    assert callable(change)
    change(draft)

    report = inspect_archive(draft.pack(tmp_path))

    assert [finding.as_line() for finding in report.findings] == []


# Names: examples of scientificName, Darwin Core 2026-05-26, and the earthworm checklist of
# Sims & Gerard 1999, Earthworms, Synopses of the British Fauna, New Series, 31 (revised).
@pytest.mark.parametrize(
    ("name", "rank"),
    [
        ("Coleoptera", "order"),
        ("Vespertilionidae", "family"),
        ("Manis", "genus"),
        ("Ctenomys sociabilis", "species"),
        ("Ambystoma tigrinum diaboli", "subspecies"),
        ("Quercus agrifolia var. oxyadenia (Torr.) J.T. Howell", "variety"),
        ("Aporrectodea caliginosa (Savigny, 1826)", "species"),
        ("Lumbricus rubellus Hoffmeister, 1843", "species"),
        ("Lumbricus Linnaeus, 1758", "genus"),
        ("Lumbricidae Rafinesque-Schmaltz, 1815", "family"),
        ("Dendrodrilus rubidus (Savigny, 1826)", "species"),
        ("Lumbricus terrestris", ""),
        # The next three: common practice, no source.
        ("Quercus \u00d7 rosacea", "species"),
        ("Tobacco mosaic virus", "species"),
        ("BOLD:AAA1234", "species"),
    ],
)
def test_settled_name_with_its_rank_has_no_finding(name: str, rank: str, tmp_path: Path) -> None:
    draft = event_draft()
    draft.put(FINDS, 2, scientificName=name, taxonRank=rank)

    report = inspect_archive(draft.pack(tmp_path))

    assert [finding.as_line() for finding in report.findings] == []


def test_occurrences_may_name_a_parent_that_is_no_row(tmp_path: Path) -> None:
    draft = flat_draft()
    draft.swap(META, "terms/recordNumber", "terms/parentEventID")
    draft.swap(FINDS, "recordNumber", "parentEventID")
    draft.put(FINDS, 2, parentEventID="visit-1")

    report = inspect_archive(draft.pack(tmp_path))

    assert report.findings == []
