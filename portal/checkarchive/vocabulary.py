"""Terms, words and licences that archives may use, from the files in ``data``.

Each file names its sources and versions in its first lines.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

DWC = "http://rs.tdwg.org/dwc/terms/"
DCTERMS = "http://purl.org/dc/terms/"
ECO = "http://rs.tdwg.org/eco/terms/"
OBIS = "http://rs.iobis.org/obis/terms/"
EVENT, OCCURRENCE = f"{DWC}Event", f"{DWC}Occurrence"
HUMBOLDT = f"{ECO}Event"
NAMESPACES = (DWC, DCTERMS, "http://purl.org/dc/elements/1.1/", ECO, OBIS)

_DATA = Path(__file__).parent / "data"


@dataclass(frozen=True)
class Term:
    """A term of an open list."""

    is_class: bool
    is_deprecated: bool
    since: str


@cache
def terms() -> dict[str, Term]:
    """Return every listed term by its IRI."""
    return {
        row["term"]: Term(row["kind"] != "property", row["status"] == "deprecated", row["since"])
        for row in _rows("terms.csv")
    }


@cache
def words(term: str) -> dict[str, str]:
    """Return the words of a closed or recommended list, each with its generation, if it has one."""
    return {row["word"]: row["generation"] for row in _rows("words.csv") if row["term"] == term}


@cache
def licences() -> dict[str, str]:
    """Return the SPDX id of each address of a licence, with or without TLS and last slash."""
    known = {}
    for row in _rows("licences.csv"):
        known[row["spdx_id"]] = row["spdx_id"]
        known[_bare(f"https://spdx.org/licenses/{row['spdx_id']}")] = row["spdx_id"]
        known[_bare(f"https://spdx.org/licenses/{row['spdx_id']}.html")] = row["spdx_id"]
        known |= {_bare(row[form]): row["spdx_id"] for form in ("legal_text", "deed")}
    return known


@cache
def legal_texts() -> frozenset[str]:
    """Return the addresses in the form that Darwin Core shows."""
    return frozenset(row["legal_text"] for row in _rows("licences.csv"))


def licence_id(address: str) -> str:
    """Return the SPDX id of a licence by any of its addresses, or nothing."""
    return licences().get(_bare(address.strip()), "")


def _bare(address: str) -> str:
    return address.removeprefix("http://").removeprefix("https://").rstrip("/")


def _rows(name: str) -> Iterator[dict[str, str]]:
    with (_DATA / name).open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(line for line in file if not line.startswith("#"))
