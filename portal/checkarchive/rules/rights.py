"""The licence of rows: there, known, one for all."""

from collections.abc import Iterator

from portal.checkarchive.descriptor import Descriptor
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row, Whole
from portal.checkarchive.vocabulary import DCTERMS, legal_texts, licence_id
from portal.checkarchive.yardstick import Yardstick

Problems = Iterator[Problem]
_TERM = "Dublin Core term license, Darwin Core usage 2026-05-26"


@rule("licence-column", "descriptor", _TERM, severity="warning")
def column(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Give the core a column dcterms:license."""
    for file in descriptor.files:
        if file.is_core and f"{DCTERMS}license" not in {field.term for field in file.fields}:
            yield Problem("license", row=file.node.line)


@rule("licence-empty", "row", _TERM, needs=("license",))
def empty(row: Row) -> Problems:
    """Write the address of the licence in every row."""
    if not row["license"]:
        yield Problem("license")


@rule("licence-unknown", "row", _TERM, needs=("license",))
def unknown(row: Row) -> Problems:
    """Write the address of a licence of data that machines know, not its name."""
    if row["license"] and not _id(row["license"]):
        yield Problem("license", row["license"])


@rule("licence-form", "row", _TERM, severity="warning", needs=("license",))
def form(row: Row) -> Problems:
    """Write the address of the legal text in the form that the standard shows."""
    if _id(row["license"]) and row["license"] not in legal_texts():
        yield Problem("license", row["license"])


@rule("licence-mixed", "whole", "common practice, no source")
def mixed(whole: Whole) -> Problems:
    """Use one licence for the whole dataset, or make a dataset of each."""
    places = sorted(whole.tally.licences.values(), key=lambda place: place[1:])
    for value, file, row in places[1:]:
        if _id(value):
            yield Problem("license", value, row, file)


def _id(address: str) -> str:
    """Return the id of a licence; a bare id is no address."""
    return licence_id(address) if ":" in address else ""
