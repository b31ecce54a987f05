"""Amendments that offer the word of a list for a slip with one meaning; nothing is guessed."""

import re
import unicodedata
from collections.abc import Callable
from datetime import date

from surveys.checks.bdq import datums, licences, lists
from surveys.checks.bdq.catalogue import bdq_test
from surveys.checks.bdq.month_names import MONTHS, month_number
from surveys.checks.bdq.standards import AUTHORITY_AWAY
from surveys.checks.bdq.values import (
    Parameters,
    Terms,
    has_authority,
    integer,
    is_empty,
    text_of,
    trimmed,
)
from surveys.checks.response import (
    Response,
    amended,
    cannot_run,
    filled_in,
    no_authority,
    not_amended,
)

ORDINAL = re.compile(r"0?([1-9][0-9]?)\s*(?:st|nd|rd|th|er|\.|º|ª)", re.IGNORECASE)
DAYS = range(1, 32)
SHORTENED = ((r"\bobs\b", "observation"), (r"\bspec\b", "specimen"), (r"\bmat\b", "material"))
TYPE_PREFIXES = re.compile(r"(?:https?://purl\.org/dc/dcmitype/|dcmitype:)", re.IGNORECASE)
STATUS_WORDS = {
    "present": "present presence presente 1 yes y detected found observed",
    "absent": "absent absence ausente 0 no n notdetected notfound notobserved",
}
RANK_WORDS = {
    "kingdom": "regnum reino regne reich",
    "phylum": "filo embranchement stamm",
    "class": "classis clase classe klasse",
    "order": "ordo ord orden ordre ordine ordem ordnung",
    "family": "familia fam famille famiglia familie",
    "subfamily": "subfamilia subfam unterfamilie",
    "tribe": "tribus tribu",
    "genus": "gen género genre genere gênero gattung",
    "subgenus": "subgen subg subgénero sousgenre untergattung",
    "species": "sp spec especie espèce specie espécie art",
    "subspecies": "ssp subsp subespecie sousespèce sottospecie unterart",
    "variety": "var varietas variedad variété varietà variedade varietät",
    "form": "f fo forma forme",
}
COUNTRY_SMALL_WORDS = re.compile(r"\b(?:the|and)\b|&")


def propose(terms: Terms, term: str, meant: str | None) -> Response:
    """Offer a value unless it is what was sent."""
    if meant is None:
        return not_amended(f"{term} has no single reading in its list; nothing is guessed.")
    if meant == text_of(terms, term):
        return not_amended(f"{term} is already a word of its list.")
    return amended({term: meant}, f"{term} has one reading in its list; confirm to change it.")


def standardised(terms: Terms, term: str, read: Callable[[str], str | None]) -> Response:
    """Offer the word of a list for a value that is filled."""
    if is_empty(terms, term):
        return cannot_run(f"{term} is empty.")
    return propose(terms, term, read(trimmed(terms, term)))


def bare(text: str) -> str:
    """Return the letters and digits of a text without case and accents."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(char for char in plain if char.isalnum())


def one_of(words: frozenset[str]) -> Callable[[str], str | None]:
    """Return a reader that finds a word whatever its case, blanks and punctuation."""
    by_letters = {bare(word): word for word in words}
    return lambda text: by_letters.get(bare(text))


def synonyms(table: dict[str, str]) -> dict[str, str]:
    """Return a table from any known spelling to the word of the list."""
    return {bare(word): key for key, words in table.items() for word in (key, *words.split())}


@bdq_test("AMENDMENT_BASISOFRECORD_STANDARDIZED")
def basis_of_record(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Offer a class of Darwin Core."""
    if not has_authority(parameters, lists.DARWIN_CORE):
        return no_authority(AUTHORITY_AWAY)
    return standardised(terms, "dwc:basisOfRecord", _basis_meant)


def _basis_meant(text: str) -> str | None:
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text).casefold()
    for short, long in SHORTENED:
        spaced = re.sub(short, long, spaced)
    return one_of(lists.BASES_OF_RECORD)(spaced)


@bdq_test("AMENDMENT_DCTYPE_STANDARDIZED")
def resource_type(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer a word of the DCMI types."""
    read = one_of(lists.DCMI_TYPES)
    return standardised(terms, "dc:type", lambda text: read(TYPE_PREFIXES.sub("", text)))


@bdq_test("AMENDMENT_COUNTRYCODE_STANDARDIZED")
def country_code(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer a two-letter code."""
    return standardised(terms, "dwc:countryCode", country_meant)


def country_meant(text: str) -> str | None:
    """Return the code for a code in another case, a three-letter code or a name."""
    upper = text.upper()
    if upper in lists.COUNTRY_CODES:
        return upper
    return _COUNTRIES.get(_country_key(text))


def _country_key(name: str) -> str:
    return bare(COUNTRY_SMALL_WORDS.sub("", name.casefold()))


_COUNTRIES = {
    _country_key(name): row["alpha_2"]
    for row in lists.COUNTRIES
    for name in (row["alpha_3"], *row["names"].split("|"))
}


@bdq_test("AMENDMENT_GEODETICDATUM_STANDARDIZED")
def geodetic_datum(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer the code of a datum; one datum is never turned into another."""
    return standardised(terms, "dwc:geodeticDatum", datums.code_meant)


@bdq_test("AMENDMENT_LICENSE_STANDARDIZED")
def licence(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Offer the address of a licence; an empty one has nothing to amend."""
    if not has_authority(parameters):
        return no_authority(AUTHORITY_AWAY)
    value = text_of(terms, "dcterms:license")
    if licences.ADDRESS.fullmatch(value):
        return not_amended("dcterms:license is already a licence address.")
    return propose(
        terms, "dcterms:license", licences.licence_meant(trimmed(terms, "dcterms:license"))
    )


@bdq_test("AMENDMENT_OCCURRENCESTATUS_STANDARDIZED")
def occurrence_status(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Offer present or absent."""
    if not has_authority(parameters, lists.STATUS_2023):
        return no_authority(AUTHORITY_AWAY)
    table = synonyms(STATUS_WORDS)
    return standardised(terms, "dwc:occurrenceStatus", lambda text: table.get(bare(text)))


@bdq_test("AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT")
def assumed_status(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Report what the standard would assume; the policy never accepts it."""
    if not is_empty(terms, "dwc:occurrenceStatus"):
        return cannot_run("dwc:occurrenceStatus is filled.")
    if not (is_empty(terms, "dwc:individualCount") and is_empty(terms, "dwc:organismQuantity")):
        return not_amended("A count or quantity is given; no status is assumed.")
    assumed = parameters.get("bdqval:defaultOccurrenceStatus", "present")
    return filled_in(
        {"dwc:occurrenceStatus": assumed},
        "The standard would assume a status here. Do not accept it: a missing count is missing.",
    )


@bdq_test("AMENDMENT_TAXONRANK_STANDARDIZED")
def taxon_rank(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Offer a rank in full."""
    if not has_authority(parameters):
        return no_authority(AUTHORITY_AWAY)
    table = {bare(rank): rank for rank in lists.RANKS} | synonyms(RANK_WORDS)
    return standardised(terms, "dwc:taxonRank", lambda text: table.get(bare(text)))


@bdq_test("AMENDMENT_DAY_STANDARDIZED")
def day(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer the number of an ordinal; roman numerals are left alone."""
    return standardised(terms, "dwc:day", _day_meant)


def _day_meant(text: str) -> str | None:
    if integer(text) in DAYS:
        return text
    match = ORDINAL.fullmatch(text)
    return match[1] if match and int(match[1]) in DAYS else None


@bdq_test("AMENDMENT_MONTH_STANDARDIZED")
def month(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer the number of a month named in words or roman numerals."""
    return standardised(terms, "dwc:month", _month_meant)


def _month_meant(text: str) -> str | None:
    if integer(text) in MONTHS:
        return text
    number = month_number(text)
    return None if number is None else str(number)
