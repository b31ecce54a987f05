"""Scientific names and their ranks, by their form alone."""

import re
from collections.abc import Iterator

from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row
from portal.checkarchive.vocabulary import OCCURRENCE

Problems = Iterator[Problem]
_NAME = ("scientificName",)
_TERM = "Darwin Core term scientificName"
_RANK = "Darwin Core term taxonRank; codes of nomenclature"
_LEFT_OPEN = re.compile(
    r"\b(sp|spp|ssp|indet|cf|aff|agg|nr)\b\.?(?=\s|$)|\?|\b(unidentified|unknown|undetermined)\b"
)
_GROUP = re.compile(
    r"\b(epigeic|endogeic|anecic|earthworms?|worms?|juveniles?|adults?|cocoons?)\b", re.IGNORECASE
)
_EPITHETS = re.compile(r"[A-Z]\S+(?: \([A-Z]\w+\))?((?: [a-z][a-z-]+)*)")
# Hybrids, viruses and clusters of sequences are named in other ways.
_OTHER_FORM = re.compile(r"\u00d7|\bx\b|virus|viroid|^BOLD:", re.IGNORECASE)
_BINOMIAL, _TRINOMIAL = 1, 2
_RANK_EPITHETS = {"genus": 0, "species": _BINOMIAL, "subspecies": _TRINOMIAL}
_HIGHER_RANKS = {
    "kingdom",
    "phylum",
    "class",
    "order",
    "superfamily",
    "family",
    "subfamily",
    "tribe",
}
_ENDINGS = {"family": ("idae", "aceae"), "subfamily": ("inae", "oideae")}
_PREFIXES = {"van", "von", "de", "der", "da", "di", "du", "la", "le", "et", "in", "ex", "var", "f"}


@rule("name-empty", "row", _TERM, needs=_NAME)
def empty(row: Row) -> Problems:
    """Write the lowest taxon that was really determined."""
    if row.file.row_type == OCCURRENCE and not row["scientificName"]:
        yield Problem("scientificName")


@rule("name-left-open", "row", _TERM, needs=_NAME)
def left_open(row: Row) -> Problems:
    """Write the lowest sure taxon; doubt belongs to identificationQualifier."""
    if _LEFT_OPEN.search(row["scientificName"]):
        yield Problem("scientificName", row["scientificName"])


@rule("name-of-group", "row", _TERM, needs=_NAME)
def of_group(row: Row) -> Problems:
    """Write a taxon; groups, stages and common names have terms of their own."""
    if _GROUP.search(row["scientificName"]):
        yield Problem("scientificName", row["scientificName"])


@rule("name-form", "row", f"{_TERM}; codes of nomenclature", needs=_NAME)
def form(row: Row) -> Problems:
    """Begin a scientific name with a capital letter."""
    name = row["scientificName"]
    if name[:1].islower() and not _GROUP.search(name):
        yield Problem("scientificName", name)


@rule("rank-differs", "row", _RANK, needs=("taxonRank",))
def rank(row: Row) -> Problems:
    """Write the rank of the name itself: the words and ending of the name tell another."""
    name, told = row["scientificName"], row["taxonRank"]
    if not told or _LEFT_OPEN.search(name) or _OTHER_FORM.search(name):
        return
    found = _EPITHETS.match(name)
    if found and not _agrees(name, told, found[1].split()):
        yield Problem("taxonRank", f"{told}: {name}")


def _agrees(name: str, told: str, words: list[str]) -> bool:
    """Tell whether a name may have a rank; ranks that no form belongs to always agree."""
    epithets = [word for word in words if word not in _PREFIXES]
    if told in _RANK_EPITHETS:
        return len(epithets) == _RANK_EPITHETS[told]
    endings = _ENDINGS.get(told)
    if endings and not name.split(maxsplit=1)[0].endswith(endings):
        return False
    return told not in _HIGHER_RANKS or not epithets
