"""Tests that ask whether a value is exactly a word of its vocabulary."""

from collections.abc import Callable
from datetime import date

from surveys.checks.bdq import datums, licences, lists
from surveys.checks.bdq.catalogue import bdq_test
from surveys.checks.bdq.values import Parameters, Terms, has_authority, is_empty, text_of
from surveys.checks.response import (
    Response,
    cannot_run,
    compliant,
    no_authority,
    not_compliant,
)

AUTHORITY_AWAY = "The list asked for is not bundled, and nothing is fetched; the test did not run."


def exact(terms: Terms, term: str, holds: Callable[[str], bool], expected: str) -> Response:
    """Judge a value word for word: case and surrounding blanks count."""
    if is_empty(terms, term):
        return cannot_run(f"{term} is empty.")
    if holds(text_of(terms, term)):
        return compliant(f"{term} is a word of its list.")
    return not_compliant(
        "word-not-in-list",
        "{term} must be exactly {expected}; case and blanks count.",
        term=term,
        expected=expected,
    )


@bdq_test("VALIDATION_BASISOFRECORD_STANDARD")
def basis_of_record(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Judge the basis of record."""
    if not has_authority(parameters, lists.DARWIN_CORE):
        return no_authority(AUTHORITY_AWAY)
    holds = lists.BASES_OF_RECORD.__contains__
    return exact(terms, "dwc:basisOfRecord", holds, "a class of Darwin Core (HumanObservation)")


@bdq_test("VALIDATION_DCTYPE_STANDARD")
def resource_type(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the type of the resource."""
    holds = lists.DCMI_TYPES.__contains__
    return exact(terms, "dc:type", holds, "a word of the DCMI types (Event)")


@bdq_test("VALIDATION_COUNTRYCODE_STANDARD")
def country_code(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the country code."""
    holds = lists.COUNTRY_CODES.__contains__
    return exact(terms, "dwc:countryCode", holds, "two capitals of ISO 3166-1, XZ or ZZ")


@bdq_test("VALIDATION_OCCURRENCESTATUS_STANDARD")
def occurrence_status(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Judge the occurrence status, by the older list unless the newer is asked for."""
    if not has_authority(parameters, *lists.OCCURRENCE_STATUS):
        return no_authority(AUTHORITY_AWAY)
    words = lists.OCCURRENCE_STATUS[parameters.get("bdqval:sourceAuthority", lists.STATUS_2023)]
    return exact(terms, "dwc:occurrenceStatus", words.__contains__, " or ".join(sorted(words)))


@bdq_test("VALIDATION_TAXONRANK_STANDARD")
def taxon_rank(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Judge the rank of the taxon."""
    if not has_authority(parameters):
        return no_authority(AUTHORITY_AWAY)
    holds = lists.RANKS.__contains__
    return exact(terms, "dwc:taxonRank", holds, "a rank in English and in full (species)")


@bdq_test("VALIDATION_LICENSE_STANDARD")
def licence(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Judge the licence address."""
    if not has_authority(parameters):
        return no_authority(AUTHORITY_AWAY)
    expected = "the address of a Creative Commons 4.0 licence or of CC0 1.0"
    return exact(terms, "dcterms:license", _is_licence, expected)


def _is_licence(value: str) -> bool:
    return licences.ADDRESS.fullmatch(value) is not None


@bdq_test("VALIDATION_GEODETICDATUM_STANDARD")
def geodetic_datum(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the geodetic datum."""
    expected = f"a code such as EPSG:4326, or '{datums.NOT_RECORDED}'"
    return exact(terms, "dwc:geodeticDatum", _is_datum, expected)


def _is_datum(value: str) -> bool:
    return value == datums.NOT_RECORDED or datums.is_standard(value)
