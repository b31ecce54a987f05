"""The data dictionary: every public field, and why it may be public.

A column that is not listed here is never shown.
"""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Field:
    """One public field: what it means, in which unit, and what null means."""

    name: str
    type: str  # id, text, word, words, whole number, number, yes/no, date, day
    label: str
    definition: str
    unit: str = ""
    null_means: str = ""
    vocabulary: str = ""
    since_version: str = "0.1.0"  # of the API; a field is in every release that is read with it


_NOT_ENTERED = "not entered"
_WITHHELD = "coordinates are withheld (cell_level 0)"

VISIT_FIELDS = (
    Field("visit_id", "id", "visit", "Permanent random id of the visit."),
    Field("site_id", "id", "site", "Permanent random id of the place; the same on later visits."),
    Field(
        "group_code",
        "text",
        "group",
        "Contributing group, where it agreed and its name gives no place away.",
        null_means="not shown",
    ),
    Field(
        "sampled_on",
        "date",
        "sampled on",
        "Day of the visit, YYYY-MM-DD; only the month, YYYY-MM, for schools.",
    ),
    Field("sampled_first_on", "day", "first day", "First day that the visit can have been on."),
    Field("sampled_last_on", "day", "last day", "Last day that the visit can have been on."),
    Field("date_precision", "word", "date precision", "day or month.", vocabulary="date_precision"),
    Field("season", "word", "season", "Meteorological season of the visit.", vocabulary="season"),
    Field("protocol", "text", "protocol", "Key and version of the protocol followed."),
    Field(
        "paired", "yes/no", "paired", "Two or more pits that all differ in habitat or management."
    ),
    Field(
        "people_digging",
        "whole number",
        "people digging",
        "People who dug and sorted.",
        unit="people",
        null_means=_NOT_ENTERED,
    ),
    Field(
        "recorded_by",
        "text",
        "recorded by",
        "Name of the recorder, if of age and agreed to be named in this release.",
        null_means="anonymous",
    ),
    Field(
        "recorded_by_id",
        "text",
        "recorder's address",
        "ORCID iD of a named recorder, as an address.",
        null_means="anonymous, or none given",
    ),
    Field(
        "country_code",
        "text",
        "country",
        "ISO 3166-1 alpha-2 code, where the whole cell lies in the country.",
        null_means="the cell is not known to lie wholly in one country",
    ),
    Field(
        "latitude",
        "number",
        "latitude",
        "Centre of the published grid cell, WGS 84.",
        unit="degree north",
        null_means=_WITHHELD,
    ),
    Field(
        "longitude",
        "number",
        "longitude",
        "Centre of the published grid cell, WGS 84.",
        unit="degree east",
        null_means=_WITHHELD,
    ),
    Field(
        "cell",
        "text",
        "grid cell",
        "step|south|west of the published cell, root, or exact|latitude|longitude where permitted.",
    ),
    Field(
        "cell_level",
        "whole number",
        "cell level",
        "0 no coordinates, 1 to 5 cells of 1, 0.5, 0.1, 0.01 and 0.001 degree, 6 the exact place.",
    ),
    Field(
        "uncertainty_m",
        "whole number",
        "coordinate uncertainty",
        "Distance from the centre to the farthest corner, with an allowance for the device.",
        unit="m",
        null_means=_WITHHELD,
    ),
    Field(
        "data_generalizations",
        "text",
        "generalisation",
        "How coarsely the place is shown.",
    ),
    Field("information_withheld", "text", "withheld", "What is withheld and whom to ask."),
    Field(
        "verification",
        "word",
        "verification",
        "How far the record was verified.",
        vocabulary="verification",
    ),
    Field("remarks", "text", "remarks", "Note of the visit, only if a reviewer approved it."),
)

PIT_FIELDS = (
    Field("pit_id", "id", "pit", "Permanent random id of the pit."),
    Field(
        "habitat",
        "word",
        "habitat",
        "Habitat of the pit. A word is told as its kind, or not, where too few households of the "
        "cell share it.",
        vocabulary="habitat",
    ),
    Field(
        "management",
        "words",
        "management",
        "What was done to the land; an empty list means none of it. A word is told as its kind, or "
        "not, where too few households of the cell share it.",
        null_means="see management_state",
        vocabulary="management",
    ),
    Field(
        "management_state",
        "word",
        "management state",
        "listed, not_known (asked, nobody knew) or not_entered.",
        vocabulary="management_state",
    ),
    Field("width_cm", "number", "width", "Inner width of the pit.", unit="cm"),
    Field("length_cm", "number", "length", "Inner length of the pit.", unit="cm"),
    Field("depth_cm", "number", "depth", "Depth of the pit.", unit="cm"),
    Field("area_m2", "number", "area", "Width times length.", unit="m2"),
    Field(
        "sorting_minutes",
        "whole number",
        "sorting time",
        "Minutes of sorting by hand.",
        unit="min",
        null_means=_NOT_ENTERED,
    ),
    Field(
        "sorted_to_end",
        "yes/no",
        "sorted to the end",
        "The recorder confirmed that the soil was sorted to the end.",
        null_means=_NOT_ENTERED,
    ),
    Field("hand_sort", "word", "hand sorting", "Was it done?", vocabulary="phase_state"),
    Field("expellant", "word", "drench", "Was an expellant poured?", vocabulary="phase_state"),
    Field(
        "expellant_agent",
        "text",
        "agent",
        "What was poured.",
        null_means="nothing poured, or not entered",
    ),
    Field(
        "expellant_ml",
        "whole number",
        "volume poured",
        "Volume poured on the pit floor.",
        unit="ml",
        null_means="nothing poured, or not entered",
    ),
    Field(
        "expellant_wait_min",
        "whole number",
        "waiting time",
        "Minutes waited after pouring.",
        unit="min",
        null_means="nothing poured, or not entered",
    ),
    Field(
        "effort_known",
        "yes/no",
        "effort known",
        "Each step is known to be done or not done; only such pits enter densities.",
    ),
    Field(
        "moisture",
        "word",
        "soil moisture",
        "Squeeze test.",
        null_means=_NOT_ENTERED,
        vocabulary="moisture",
    ),
    Field(
        "fizz",
        "word",
        "acid reaction",
        "Fizz with the acid named beside it.",
        null_means=_NOT_ENTERED,
        vocabulary="fizz",
    ),
    Field(
        "fizz_acid",
        "text",
        "acid",
        "Acid used. Vinegar can show carbonate; it cannot exclude or rank it.",
        null_means=_NOT_ENTERED,
    ),
    Field(
        "texture",
        "word",
        "soil texture",
        "Texture by feel.",
        null_means=_NOT_ENTERED,
        vocabulary="texture",
    ),
    Field("texture_key", "text", "texture key", "Key used.", null_means=_NOT_ENTERED),
    Field(
        "colour",
        "text",
        "soil colour",
        "Munsell notation.",
        null_means=_NOT_ENTERED,
    ),
    Field("colour_state", "text", "colour state", "moist or dry.", null_means=_NOT_ENTERED),
)

_ID = Field("id", "id", "id", "Permanent random id of the record.")

COUNT_FIELDS = (
    Field("phase_id", "id", "extraction step", "Permanent random id of the step in its pit."),
    Field("method", "word", "step", "Step by which the animals were taken.", vocabulary="method"),
    Field(
        "group",
        "word",
        "ecological group",
        "Group of the animals; groups are no taxa.",
        vocabulary="group",
    ),
    Field("stage", "word", "life stage", "Stage of the animals.", vocabulary="stage"),
    Field("taxon", "text", "taxon", "Scientific name.", null_means="not determined further"),
    Field("coarse_taxon", "text", "coarse taxon", "Taxon that all counted animals belong to."),
    Field(
        "state",
        "word",
        "state of the count",
        "counted (zero included), not_looked_for or not_entered.",
        vocabulary="count_state",
    ),
    Field(
        "number",
        "whole number",
        "number",
        "Animals after the last determination; 0 = looked for and none found.",
        unit="animals",
        null_means="see state",
    ),
    Field(
        "occurrence_status",
        "word",
        "occurrence",
        "present, or absent where every line of the step that could hold an animal of the same "
        "name was counted and is zero.",
        null_means="no count, or a zero beside finds of the same name, which is no absence",
        vocabulary="occurrence_status",
    ),
    Field(
        "number_recorded",
        "whole number",
        "number recorded",
        "Animals as the recorder wrote them.",
        unit="animals",
        null_means="see state",
    ),
)

FIELDS: dict[str, tuple[Field, ...]] = {
    "visits": (
        _ID,
        *VISIT_FIELDS,
        Field("pits", "whole number", "pits", "Pits of the visit."),
        Field("habitats", "words", "habitats", "Habitats of the pits.", vocabulary="habitat"),
    ),
    "pits": (
        _ID,
        *VISIT_FIELDS,
        *PIT_FIELDS,
        Field(
            "found",
            "whole number",
            "animals found",
            "Animals of all counted lines.",
            unit="animals",
            null_means="nothing was counted",
        ),
    ),
    "counts": (_ID, *VISIT_FIELDS, *PIT_FIELDS, *COUNT_FIELDS),
}

# Computed, and named by files and answers; no column of a collection.
DERIVED_FIELDS = (
    Field(
        "density_per_m2",
        "number",
        "density",
        "Number of animals over the area dug.",
        unit="animals per m2",
    ),
)


def field_names(collection: str) -> list[str]:
    """Return the names of a collection's fields in their order."""
    return [field.name for field in FIELDS[collection]]


def every_field() -> dict[str, Field]:
    """Return each field once, by name."""
    listed: Iterable[Field] = (field for fields in FIELDS.values() for field in fields)
    return {field.name: field for field in (*listed, *DERIVED_FIELDS)}
