"""What follows from a finding: a table apart from the checks, so that it can change alone.

``block``: not stored; ``hold``: stored, a reviewer decides; ``note``: stored, the sender is
told; ``propose``: stored, a change is offered to a person; ``pass``: nothing follows.
"""

from typing import Literal

from surveys.checks.registry import Finding, Stage
from surveys.checks.response import FAULTS, PROPOSALS

Action = Literal["block", "hold", "note", "propose", "pass"]

POLICY_VERSION = "2026-11-25"

PROGRAMME: dict[Action, tuple[str, ...]] = {
    "block": (
        "VALIDATION_COUNTS_NONNEGATIVEINTEGER",
        "VALIDATION_PITSIZE_PLAUSIBLE",
        "VALIDATION_TEXT_STORABLE",
        "VALIDATION_VISITDATE_WINDOW",
    ),
    "hold": (
        "ISSUE_PERSONAL_DATA_IN_TEXT",
        "ISSUE_PLACE_NAME_IN_TEXT",
        "ISSUE_POSSIBLE_DUPLICATE",
        "VALIDATION_COUNTS_LIKELY",
        "VALIDATION_COUNTS_NOTEMPTY",
        "VALIDATION_COUNTS_SUMCONSISTENT",
        "VALIDATION_EXPELLANT_CONSISTENT",
        "VALIDATION_LIFESTAGE_GROUP_CONSISTENT",
        "VALIDATION_PITSIZE_PROTOCOL",
        "VALIDATION_PITS_SEPARATION_INRANGE",
        "VALIDATION_POSITION_ACCURACY",
        "VALIDATION_POSITION_NOT_PLACEHOLDER",
        "VALIDATION_SITE_IN_REGION",
        "VALIDATION_ZEROPIT_CONFIRMED",
    ),
    "note": (
        "ISSUE_SOIL_CONTRADICTION",
        "ISSUE_TEXT_FORMULA",
        "VALIDATION_ADULTSHARE_LIKELY",
        "VALIDATION_ANECICADULTS_LIKELY",
        "VALIDATION_COUNTS_COMPLETE",
        "VALIDATION_EFFORT_COMPLETE",
        "VALIDATION_SEASON_PROTOCOL",
        "VALIDATION_SOILCOLOUR_MOISTURE",
        "VALIDATION_SOILCOLOUR_STANDARD",
        "VALIDATION_SOILMOISTURE_SUITABLE",
        "VALIDATION_SORTINGTIME_LIKELY",
        "VALIDATION_SUBMISSION_TIMELY",
        "VALIDATION_VISIT_PAIRED",
    ),
    "propose": (
        "AMENDMENT_POSITION_SIGN",
        "AMENDMENT_POSITION_TRANSPOSED",
        "AMENDMENT_VISITDATE_TRANSPOSED",
    ),
}
BDQ: dict[Action, tuple[str, ...]] = {
    "block": (
        "VALIDATION_BASISOFRECORD_NOTEMPTY",
        "VALIDATION_BASISOFRECORD_STANDARD",
        "VALIDATION_COORDINATES_NOTZERO",
        "VALIDATION_COUNTRYCODE_STANDARD",
        "VALIDATION_DAY_INRANGE",
        "VALIDATION_DAY_STANDARD",
        "VALIDATION_DECIMALLATITUDE_INRANGE",
        "VALIDATION_DECIMALLATITUDE_NOTEMPTY",
        "VALIDATION_DECIMALLONGITUDE_INRANGE",
        "VALIDATION_DECIMALLONGITUDE_NOTEMPTY",
        "VALIDATION_EVENTDATE_NOTEMPTY",
        "VALIDATION_EVENTDATE_STANDARD",
        "VALIDATION_EVENTTEMPORAL_NOTEMPTY",
        "VALIDATION_EVENT_CONSISTENT",
        "VALIDATION_GEODETICDATUM_NOTEMPTY",
        "VALIDATION_GEODETICDATUM_STANDARD",
        "VALIDATION_LICENSE_NOTEMPTY",
        "VALIDATION_LICENSE_STANDARD",
        "VALIDATION_LOCATION_NOTEMPTY",
        "VALIDATION_MAXDEPTH_INRANGE",
        "VALIDATION_MINDEPTH_INRANGE",
        "VALIDATION_MINDEPTH_LESSTHAN_MAXDEPTH",
        "VALIDATION_MONTH_STANDARD",
        "VALIDATION_OCCURRENCEID_NOTEMPTY",
        "VALIDATION_OCCURRENCESTATUS_NOTEMPTY",
        "VALIDATION_OCCURRENCESTATUS_STANDARD",
        "VALIDATION_SCIENTIFICNAME_NOTEMPTY",
        "VALIDATION_TAXONRANK_NOTEMPTY",
        "VALIDATION_TAXONRANK_STANDARD",
        "VALIDATION_TAXON_NOTEMPTY",
    ),
    "hold": (
        "VALIDATION_COORDINATEUNCERTAINTY_INRANGE",
        "VALIDATION_COUNTRYCODE_NOTEMPTY",
        "VALIDATION_DATEIDENTIFIED_INRANGE",
        "VALIDATION_EVENTDATE_INRANGE",
        "VALIDATION_POLYNOMIAL_CONSISTENT",
        "VALIDATION_YEAR_INRANGE",
    ),
    "note": (
        "VALIDATION_COUNTRY_NOTEMPTY",
        "VALIDATION_DATEIDENTIFIED_STANDARD",
        "VALIDATION_DCTYPE_NOTEMPTY",
        "VALIDATION_DCTYPE_STANDARD",
        "VALIDATION_ENDDAYOFYEAR_INRANGE",
        "VALIDATION_KINGDOM_NOTEMPTY",
        "VALIDATION_MAXELEVATION_INRANGE",
        "VALIDATION_MINELEVATION_INRANGE",
        "VALIDATION_MINELEVATION_LESSTHAN_MAXELEVATION",
        "VALIDATION_SCIENTIFICNAMEAUTHORSHIP_NOTEMPTY",
        "VALIDATION_SCIENTIFICNAMEID_COMPLETE",
        "VALIDATION_SCIENTIFICNAMEID_NOTEMPTY",
        "VALIDATION_STARTDAYOFYEAR_INRANGE",
        "VALIDATION_YEAR_NOTEMPTY",
    ),
    "propose": (
        "AMENDMENT_BASISOFRECORD_STANDARDIZED",
        "AMENDMENT_COORDINATES_FROM_VERBATIM",
        "AMENDMENT_COUNTRYCODE_STANDARDIZED",
        "AMENDMENT_DATEIDENTIFIED_STANDARDIZED",
        "AMENDMENT_DAY_STANDARDIZED",
        "AMENDMENT_DCTYPE_STANDARDIZED",
        "AMENDMENT_EVENTDATE_FROM_VERBATIM",
        "AMENDMENT_EVENTDATE_FROM_YEARMONTHDAY",
        "AMENDMENT_EVENTDATE_FROM_YEARSTARTDAYOFYEARENDDAYOFYEAR",
        "AMENDMENT_EVENTDATE_STANDARDIZED",
        "AMENDMENT_EVENT_FROM_EVENTDATE",
        "AMENDMENT_GEODETICDATUM_ASSUMEDDEFAULT",
        "AMENDMENT_GEODETICDATUM_STANDARDIZED",
        "AMENDMENT_LICENSE_STANDARDIZED",
        "AMENDMENT_MINDEPTHMAXDEPTH_FROM_VERBATIM",
        "AMENDMENT_MONTH_STANDARDIZED",
        "AMENDMENT_OCCURRENCESTATUS_STANDARDIZED",
        "AMENDMENT_TAXONRANK_STANDARDIZED",
    ),
    "pass": (
        "AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT",  # a missing count is no presence
        "ISSUE_DATAGENERALIZATIONS_NOTEMPTY",  # every blurred record has it
    ),
}

# What follows on the private record where it differs: a person can still mend that one.
PRIVATE: dict[str, Action] = {
    "VALIDATION_COORDINATES_NOTZERO": "hold",
    "VALIDATION_COORDINATEUNCERTAINTY_INRANGE": "note",
    "VALIDATION_EVENTDATE_INRANGE": "pass",  # VALIDATION_VISITDATE_WINDOW says more
    "VALIDATION_MAXDEPTH_INRANGE": "pass",  # VALIDATION_PITSIZE_PLAUSIBLE says more
}

_ACTIONS: dict[str, Action] = {
    label: action
    for table in (PROGRAMME, BDQ)
    for action, labels in table.items()
    for label in labels
}


def labels_of(action: Action) -> list[str]:
    """Return the checks whose faults have one consequence on the private record."""
    return [label for label, follows in (_ACTIONS | PRIVATE).items() if follows == action]


def decide(finding: Finding, stage: Stage = "private") -> Action:
    """Return what follows from a finding on the private or the published record."""
    response = finding.response
    result = response.result if isinstance(response.result, str) else ""
    return decide_on(finding.label, response.status, result, stage)


def decide_on(label: str, status: str, result: str, stage: Stage = "private") -> Action:
    """Return what follows from a stored answer; only faults and proposals have consequences.

    Raises
    ------
    KeyError
        If the policy does not know a label that found a fault or proposes a change.
    """
    if status in PROPOSALS or result in FAULTS:
        table = _ACTIONS if stage == "published" else _ACTIONS | PRIVATE
        return table[label]
    return "pass"
