"""Tests of scientific names: parts in their places, identifiers that are complete."""

import re
from datetime import date
from urllib.parse import urlsplit

from surveys.checks.bdq.catalogue import bdq_test
from surveys.checks.bdq.values import Parameters, Terms, is_empty, text_of, trimmed
from surveys.checks.response import Response, cannot_run, compliant, not_compliant

PARTS = ("dwc:genericName", "dwc:specificEpithet", "dwc:infraspecificEpithet")
EPITHET = re.compile(r"[^\W\d_A-Z][^\W\d_]+(?:-[^\W\d_]+)*")
_NO_EPITHETS = """
    aff cf nr sp spp subsp ssp var subvar f fo forma form morph ab aberration convar cv nothosubsp
    nothovar x and ex et in de da du den der van von la le emend auct non nec sensu
"""
NO_EPITHETS = frozenset(_NO_EPITHETS.split())  # ranks, doubts and author particles

LSID = re.compile(r"urn:lsid:[^\s:]+:[^\s:]+:[^\s:]+(?::[^\s:]+)?", re.IGNORECASE)
URN = re.compile(r"urn:[a-z0-9][a-z0-9-]{0,30}[a-z0-9]:[^\s]+", re.IGNORECASE)
SCOPED = re.compile(r"[A-Za-z][A-Za-z0-9+._-]*:[^\s/:][^\s]*")


@bdq_test("VALIDATION_POLYNOMIAL_CONSISTENT")
def polynomial(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Tell whether genus, species and lowest epithet stand in their places in the name."""
    filled = [term for term in PARTS if not is_empty(terms, term)]
    if is_empty(terms, "dwc:scientificName") or not filled:
        return cannot_run("The name, or every part to compare it with, is empty.")
    places = name_parts(trimmed(terms, "dwc:scientificName"))
    differing = [term for term in filled if places.get(term) != text_of(terms, term)]
    if not differing:
        return compliant("The parts stand in their places in dwc:scientificName.")
    return not_compliant(
        "name-parts-differ",
        "dwc:scientificName does not have {received} in the usual place. Correct the part or "
        "the name.",
        received=", ".join(differing),
    )


def name_parts(name: str) -> dict[str, str]:
    """Return first word, first epithet, and last epithet if there are several."""
    first, *others = name.split()
    epithets = [
        word for word in others if EPITHET.fullmatch(word) and word.casefold() not in NO_EPITHETS
    ]
    parts = {"dwc:genericName": first}
    if epithets:
        parts["dwc:specificEpithet"] = epithets[0]
    if len(epithets) > 1:
        parts["dwc:infraspecificEpithet"] = epithets[-1]
    return parts


@bdq_test("VALIDATION_SCIENTIFICNAMEID_COMPLETE")
def identifier_complete(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Tell whether an identifier says who gave it."""
    if is_empty(terms, "dwc:scientificNameID"):
        return cannot_run("dwc:scientificNameID is empty.")
    if is_complete(text_of(terms, "dwc:scientificNameID")):
        return compliant("dwc:scientificNameID is complete.")
    return not_compliant(
        "identifier-incomplete",
        "dwc:scientificNameID must be {expected}.",
        expected="an LSID, a URN, scope:value, or a web address with a path",
    )


def is_complete(identifier: str) -> bool:
    """Tell whether a text is an LSID, another URN, scope:value or an address with a path."""
    lowered = identifier.lower()
    if lowered.startswith("urn:lsid:"):
        return LSID.fullmatch(identifier) is not None
    if lowered.startswith("urn:"):
        return URN.fullmatch(identifier) is not None
    if "://" in identifier:
        return _has_path(identifier)
    return SCOPED.fullmatch(identifier) is not None


def _has_path(address: str) -> bool:
    try:
        parts = urlsplit(address)
    except ValueError:
        return False
    spaced = any(char.isspace() for char in address)
    return bool(parts.scheme and parts.hostname and len(parts.path) > 1 and not spaced)
