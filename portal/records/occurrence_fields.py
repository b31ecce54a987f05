"""The data dictionary of occurrences: counted lines under Darwin Core names.

What a term means is said by the standard (https://dwc.tdwg.org/list/); here stands what it holds.
"""

from portal.records.fields import PIT_FIELDS, Field

_PLACE = "coordinates are withheld"
_NAME = "the name does not reach this rank"
_habitat = next(field for field in PIT_FIELDS if field.name == "habitat")

OCCURRENCE_FIELDS: tuple[Field, ...] = (
    Field("occurrenceID", "text", "occurrence", "Permanent address of the counted line."),
    Field("eventID", "text", "event", "Permanent address of the extraction step."),
    Field("basisOfRecord", "text", "basis of record", "Always HumanObservation."),
    Field("occurrenceStatus", "text", "status", "Whether animals were found on the line."),
    Field(
        "individualCount",
        "whole number",
        "individuals",
        "Animals after the last determination; 0 = looked for and none found.",
        unit="animals",
    ),
    Field(
        "organismQuantity",
        "whole number",
        "quantity",
        "The same number, in the unit of organismQuantityType.",
        unit="animals",
    ),
    Field("organismQuantityType", "text", "kind of quantity", "Always individuals."),
    Field("lifeStage", "text", "life stage", "Stage of the animals."),
    Field("scientificName", "text", "scientific name", "Narrowest name of all counted animals."),
    Field("taxonRank", "text", "rank", "Rank of the scientific name.", null_means="not known"),
    Field("kingdom", "text", "kingdom", "Kingdom of the name.", null_means=_NAME),
    Field("phylum", "text", "phylum", "Phylum of the name.", null_means=_NAME),
    Field("class", "text", "class", "Class of the name.", null_means=_NAME),
    Field("family", "text", "family", "Family of the name.", null_means=_NAME),
    Field("genus", "text", "genus", "Genus of the name.", null_means=_NAME),
    Field(
        "vernacularName",
        "text",
        "common name",
        "English name of the wider taxon.",
        null_means="no common name",
    ),
    Field(
        "verbatimIdentification",
        "text",
        "identification as written",
        "What the recorder chose on the form: a taxon or an ecological group.",
        null_means="neither was chosen",
    ),
    Field(
        "identificationVerificationStatus",
        "text",
        "verification",
        "How far the record was verified.",
    ),
    Field(
        "recordedBy",
        "text",
        "recorded by",
        "The recorder, if of age and agreed to be named; else the volunteers as a whole.",
    ),
    Field(
        "recordedByID",
        "text",
        "recorder's address",
        "ORCID iD of a named recorder, as an address.",
        null_means="anonymous, or none given",
    ),
    Field(
        "dynamicProperties",
        "text",
        "further properties",
        "JSON with the ecological group, which is no taxon.",
        null_means="no ecological group",
    ),
    Field(
        "eventDate",
        "date",
        "date",
        "Day of the visit, YYYY-MM-DD; only the month, YYYY-MM, for schools.",
    ),
    _habitat,
    Field("samplingProtocol", "text", "protocol", "Title of the protocol followed."),
    Field("sampleSizeValue", "number", "sample size", "Area of the pit.", unit="m2"),
    Field("sampleSizeUnit", "text", "unit of the sample size", "Always square metre."),
    Field(
        "countryCode",
        "text",
        "country",
        "ISO 3166-1 alpha-2 code, where the whole cell lies in the country.",
        null_means="the cell is not known to lie wholly in one country",
    ),
    Field("locationID", "text", "location", "Permanent address of the place."),
    Field(
        "decimalLatitude",
        "number",
        "latitude",
        "Centre of the published grid cell, WGS 84.",
        unit="degree north",
        null_means=_PLACE,
    ),
    Field(
        "decimalLongitude",
        "number",
        "longitude",
        "Centre of the published grid cell, WGS 84.",
        unit="degree east",
        null_means=_PLACE,
    ),
    Field(
        "geodeticDatum", "text", "datum", "Reference system of the coordinates.", null_means=_PLACE
    ),
    Field(
        "coordinateUncertaintyInMeters",
        "whole number",
        "coordinate uncertainty",
        "Distance from the centre to the farthest corner, with an allowance for the device.",
        unit="m",
        null_means=_PLACE,
    ),
    Field(
        "dataGeneralizations",
        "text",
        "generalisation",
        "How coarsely the place is shown.",
        null_means="not generalised",
    ),
    Field(
        "informationWithheld",
        "text",
        "withheld",
        "What is withheld and whom to ask.",
        null_means="nothing is withheld",
    ),
    Field("license", "text", "licence", "Address of the legal text."),
    Field("rightsHolder", "text", "rights holder", "Who holds the rights in the data."),
)
