"""The collections of features: their flat properties, and which of them can be asked for.

Geometry is the published cell. Exactly one property is a date, ``sampled_on``: clients send a
condition on any date as ``datetime``, whichever property it was meant for.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from api.open.rows import DICTIONARY
from portal.records.fields import COUNT_FIELDS, Field

# Filters of the open API that together mean that a property equals a value.
Equals = Mapping[str, tuple[str, ...]]

SAMPLED_ON = Field(
    "sampled_on",
    "day",
    "sampled on",
    "Day of the visit.",
    null_means="only the month is published: see year and month",
)
DATE_FIELDS = (
    SAMPLED_ON,
    Field("year", "whole number", "year", "Year of the visit."),
    Field("month", "whole number", "month", "Month of the visit, 1 to 12."),
)
# The id is that of the feature: a client that finds it twice makes two columns of one name.
# Dates under other names would be taken for the date of the feature, and objects are not flat.
_REPLACED: dict[str, tuple[Field, ...]] = {
    "id": (),
    "sampled_on": DATE_FIELDS,
    "eventDate": DATE_FIELDS,
    "sampled_first_on": (),
    "sampled_last_on": (),
    "dynamicProperties": tuple(one for one in COUNT_FIELDS if one.name in {"group", "method"}),
}


@dataclass(frozen=True)
class Collection:
    """One collection."""

    id: str
    title: str
    description: str
    equals: Equals
    shown: tuple[str, ...]  # properties in the table of a page

    @property
    def fields(self) -> tuple[Field, ...]:
        """Return the properties of each feature."""
        told = (_REPLACED.get(one.name, (one,)) for one in DICTIONARY[self.id])
        return tuple(field for fields in told for field in fields)

    @property
    def columns(self) -> list[str]:
        """Return those properties that the open API tells as well."""
        return [one.name for one in DICTIONARY[self.id] if one.name not in _REPLACED]


def _same(*names: str) -> Equals:
    return {name: (name,) for name in names}


def _between(*names: str) -> Equals:
    return {name: (f"min_{name}", f"max_{name}") for name in names}


_PLACE = "Geometry is the published grid cell; a box chooses the cells whose centre lies in it."
_OF_VISITS: Equals = {
    **_same("group_code", "protocol", "season", "cell", "site_id", "visit_id"),
    "country_code": ("country",),
    **_between("people_digging"),
}
_OF_PITS: Equals = {
    **_OF_VISITS,
    **_same("pit_id", "habitat", "expellant", "moisture", "texture"),
    **_between("area_m2", "depth_cm", "sorting_minutes", "found"),
}
_OF_OCCURRENCES: Equals = {
    **_same("habitat", "group", "method"),
    "lifeStage": ("stage",),
    "countryCode": ("country",),
    "identificationVerificationStatus": ("verification",),
    "individualCount": ("min_number", "max_number"),
}
COLLECTIONS: dict[str, Collection] = {
    one.id: one
    for one in (
        Collection(
            "visits",
            "Visits",
            f"One feature for each visit of a place. {_PLACE}",
            _OF_VISITS,
            ("sampled_on", "year", "month", "habitats", "pits", "cell", "uncertainty_m"),
        ),
        Collection(
            "pits",
            "Pits",
            f"One feature for each pit, with its soil and how it was searched. {_PLACE}",
            _OF_PITS,
            ("sampled_on", "year", "month", "habitat", "area_m2", "found", "cell", "uncertainty_m"),
        ),
        Collection(
            "occurrences",
            "Occurrences",
            "One feature for each counted line of a form, zeros included, under Darwin Core names. "
            + _PLACE,
            _OF_OCCURRENCES,
            (
                "sampled_on",
                "year",
                "month",
                "habitat",
                "group",
                "lifeStage",
                "scientificName",
                "individualCount",
                "coordinateUncertaintyInMeters",
            ),
        ),
    )
}
