"""Amendments that offer coordinates, datum and depths for what was noted in words."""

from datetime import date
from decimal import Decimal

from surveys.checks.bdq import datums
from surveys.checks.bdq.catalogue import bdq_test
from surveys.checks.bdq.values import Parameters, Terms, is_empty, number, plain, text_of, trimmed
from surveys.checks.bdq.verbatim_places import (
    SAME_PLACE_DEGREES,
    read_axis,
    read_depth,
    read_pair,
)
from surveys.checks.response import (
    Response,
    cannot_run,
    filled_in,
    no_authority,
    not_amended,
)

LATITUDE, LONGITUDE = "dwc:decimalLatitude", "dwc:decimalLongitude"
VERBATIM = ("dwc:verbatimLatitude", "dwc:verbatimLongitude")
DATUM = "dwc:geodeticDatum"
UNCERTAINTY = "dwc:coordinateUncertaintyInMeters"
Pair = tuple[Decimal, Decimal]


@bdq_test("AMENDMENT_COORDINATES_FROM_VERBATIM")
def from_verbatim(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer decimal degrees for one consistent verbatim place; no datum is transformed."""
    if not (is_empty(terms, LATITUDE) and is_empty(terms, LONGITUDE)):
        return cannot_run("Decimal coordinates are filled.")
    pairless = any(is_empty(terms, term) for term in VERBATIM)
    if is_empty(terms, "dwc:verbatimCoordinates") and pairless:
        return cannot_run("No verbatim coordinates are given.")
    pair, datum = verbatim_pair(terms), verbatim_datum(terms)
    if pair is None or datum is None:
        return not_amended("The verbatim coordinates have no single reading in degrees.")
    values = {LATITUDE: plain(pair[0]), LONGITUDE: plain(pair[1])}
    if datum:
        values[DATUM] = datum
    return filled_in(values, "The verbatim coordinates have one reading; confirm to fill it in.")


def verbatim_pair(terms: Terms) -> Pair | None:
    """Return the one place that every filled verbatim term agrees with."""
    axes = [
        None if is_empty(terms, term) else read_axis(text_of(terms, term), axis)
        for term, axis in zip(VERBATIM, ("latitude", "longitude"), strict=True)
    ]
    if any(
        value is None and not is_empty(terms, term)
        for term, value in zip(VERBATIM, axes, strict=True)
    ):
        return None
    if is_empty(terms, "dwc:verbatimCoordinates"):
        north, east = axes
        return None if north is None or east is None else (north, east)
    pair = read_pair(text_of(terms, "dwc:verbatimCoordinates"))
    if pair is None or any(
        value is not None and abs(value - own) > SAME_PLACE_DEGREES
        for value, own in zip(axes, pair, strict=True)
    ):
        return None
    return pair


def verbatim_datum(terms: Terms) -> str | None:
    """Return the code of the stated datum, "" if none is stated, nothing if unreadable."""
    if is_empty(terms, "dwc:verbatimSRS"):
        return ""
    code = datums.code_meant(trimmed(terms, "dwc:verbatimSRS"))
    return code if code is not None and datums.is_standard(code) else None


@bdq_test("AMENDMENT_GEODETICDATUM_ASSUMEDDEFAULT")
def assumed_datum(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Offer the default datum; how much uncertainty that adds needs a table of shifts."""
    if not is_empty(terms, DATUM):
        return not_amended("dwc:geodeticDatum is filled.")
    known = [number(text_of(terms, term)) for term in (LATITUDE, LONGITUDE, UNCERTAINTY)]
    if None not in known:
        return no_authority(
            "Assuming a datum would add the largest datum shift to the uncertainty; a table of "
            "shifts is not at hand, so nothing is proposed. Ask the sender for the datum."
        )
    default = parameters.get("bdqval:defaultGeodeticDatum", "EPSG:4326")
    return filled_in({DATUM: default}, f"No datum is given; {default} is the usual one here.")


@bdq_test("AMENDMENT_MINDEPTHMAXDEPTH_FROM_VERBATIM")
def depths(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer depths in metres for a text with numbers and a unit."""
    names = ("dwc:minimumDepthInMeters", "dwc:maximumDepthInMeters")
    if is_empty(terms, "dwc:verbatimDepth") or not all(is_empty(terms, term) for term in names):
        return cannot_run("A depth in metres is filled, or dwc:verbatimDepth is empty.")
    found = read_depth(text_of(terms, "dwc:verbatimDepth"))
    if found is None:
        return not_amended("dwc:verbatimDepth needs numbers and a unit with one reading.")
    return filled_in(dict(zip(names, found, strict=True)), "Depths in metres; confirm them.")
