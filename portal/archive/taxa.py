"""Which scientific name stands in a row, and what stands above it.

Authorships: checklist of the earthworms of Great Britain and Ireland, compiled from Sims &
Gerard 1999 (Earthworms, Synopses of the British Fauna, New Series, 31, revised) and Sherlock
2012. A species that is not listed is written without authorship.
"""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

KINGDOM: Final = "Animalia"

AUTHORSHIP: Final = {
    "Allolobophora chlorotica": "(Savigny, 1826)",
    "Aporrectodea caliginosa": "(Savigny, 1826)",
    "Aporrectodea longa": "(Ude, 1885)",
    "Aporrectodea rosea": "(Savigny, 1826)",
    "Lumbricus castaneus": "(Savigny, 1826)",
    "Lumbricus rubellus": "Hoffmeister, 1843",
    "Lumbricus terrestris": "Linnaeus, 1758",
}

# Genus, species or subspecies, with none of the signs of a name left open.
_NAME = re.compile(r"[A-Z][a-z]+( [a-z-]{2,}){0,2}")
_LEFT_OPEN = frozenset({"sp", "spp", "ssp", "subsp", "indet", "cf", "aff", "agg", "group"})
_RANKS_BY_WORDS = {2: "species", 3: "subspecies"}


@dataclass(frozen=True)
class Lineage:
    """What stands above a coarse taxon, and the common name of its animals."""

    phylum: str
    class_: str
    family: str
    animals: str


# Orders of earthworms are left out, since classifications disagree on them.
_LINEAGES = {"Lumbricidae": Lineage("Annelida", "Clitellata", "Lumbricidae", "earthworms")}
_NO_LINEAGE = Lineage("", "", "", "")


@dataclass(frozen=True)
class Identification:
    """The lowest name that was really determined, with its rank and parents."""

    name: str
    rank: str
    genus: str
    lineage: Lineage

    @property
    def scientific_name(self) -> str:
        """Return the name with its authorship, if that is known."""
        return f"{self.name} {AUTHORSHIP.get(self.name, '')}".strip()


@lru_cache(maxsize=4096)  # a release has millions of lines and few names
def identify(recorded: str | None, coarse_taxon: str, coarse_rank: str) -> Identification:
    """Return the name for a recorded taxon; a name left open falls back to the coarse taxon."""
    lineage = _LINEAGES.get(coarse_taxon, _NO_LINEAGE)
    if recorded and recorded != coarse_taxon and is_settled(recorded):
        words = recorded.split()
        rank = _RANKS_BY_WORDS.get(len(words), "")
        return Identification(recorded, rank, words[0] if rank else "", lineage)
    genus = coarse_taxon if coarse_rank == "genus" else ""
    return Identification(coarse_taxon, coarse_rank, genus, lineage)


def is_settled(name: str) -> bool:
    """Tell whether a text is a scientific name and nothing like ``sp.`` or ``cf.``."""
    return bool(_NAME.fullmatch(name)) and _LEFT_OPEN.isdisjoint(name.split())


def label(recorded: str | None, group: str, lineage: Lineage) -> str:
    """Return what the recorder chose on the form: a taxon, a group, or nothing."""
    if recorded or group == "unassigned":
        return recorded or ""
    return f"{group} earthworm" if lineage.animals == "earthworms" else group
