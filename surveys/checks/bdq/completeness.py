"""Tests that ask whether something is filled at all; they always have a result."""

from datetime import date

from surveys.checks.bdq.catalogue import CATALOGUE, bdq_test
from surveys.checks.bdq.values import Parameters, Terms, is_empty, text_of
from surveys.checks.response import (
    Response,
    compliant,
    no_issue,
    not_compliant,
    potential_issue,
)

HIGH_SEAS = "XZ"


@bdq_test("VALIDATION_COUNTRY_NOTEMPTY")
def country_filled(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Tell whether a country is given, or the code says that the place has none."""
    if is_empty(terms, "dwc:country") and text_of(terms, "dwc:countryCode") == HIGH_SEAS:
        return compliant("The code says high seas, which belong to no country.")
    return one_filled(terms, ("dwc:country",))


@bdq_test("ISSUE_DATAGENERALIZATIONS_NOTEMPTY")
def generalised(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Tell whether the record was made coarser on purpose."""
    if is_empty(terms, "dwc:dataGeneralizations"):
        return no_issue("The record does not say that it was made coarser.")
    return potential_issue(
        "made-coarser", "The record was made coarser before publication, and says how."
    )


def one_filled(terms: Terms, wanted: tuple[str, ...]) -> Response:
    """Tell whether at least one of some terms is filled."""
    filled = [term for term in wanted if not is_empty(terms, term)]
    if filled:
        return compliant(f"{filled[0]} holds a value.")
    if len(wanted) == 1:
        text = "{expected} is empty. Fill it in."
    else:
        text = "None of these terms holds a value: {expected}. Fill in at least one."
    return not_compliant("term-empty", text, expected=", ".join(wanted))


def _register(label: str, wanted: tuple[str, ...]) -> None:
    @bdq_test(label)
    def is_filled(terms: Terms, _parameters: Parameters, _now: date) -> Response:
        return one_filled(terms, wanted)


for _entry in CATALOGUE.values():
    _frame = (_entry.label.startswith("VALIDATION_"), _entry.label.endswith("_NOTEMPTY"))
    if all(_frame) and _entry.label != "VALIDATION_COUNTRY_NOTEMPTY":
        _register(_entry.label, _entry.acted_upon)
