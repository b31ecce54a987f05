"""Which columns each file of the archive has, and which open term each column means.

Terms: Darwin Core (TDWG, 2023-09-18 and 2026-05-26), Humboldt Extension (TDWG, 2024-02-28),
Dublin Core; the two id terms of measurements come from a community definition of 2023-08-28.
"""

from dataclasses import dataclass
from typing import Final, NamedTuple

NAMESPACES: Final = {
    "dwc": "http://rs.tdwg.org/dwc/terms/",
    "dcterms": "http://purl.org/dc/terms/",
    "dc": "http://purl.org/dc/elements/1.1/",
    "eco": "http://rs.tdwg.org/eco/terms/",
    "emof": "http://rs.iobis.org/obis/terms/",
}

VERIFICATION_STATUSES: Final = (
    "unverified",
    "plausibility checked",
    "verified by specialist",
    "voucher confirmed",
)


class Column(NamedTuple):
    """A column: its header and the IRI of its term."""

    header: str
    term: str


@dataclass(frozen=True)
class DataFile:
    """A file of rows; the first column of an extension is the id of the event."""

    name: str
    row_type: str
    columns: tuple[Column, ...]
    is_core: bool = False

    @property
    def headers(self) -> tuple[str, ...]:
        """Return the header line."""
        own = tuple(column.header for column in self.columns)
        return own if self.is_core else ("coreid", *own)


def columns_of(curies: str) -> tuple[Column, ...]:
    """Return the columns of terms that are written with a prefix and parted by blanks."""
    pairs = (curie.split(":") for curie in curies.split())
    return tuple(Column(name, NAMESPACES[prefix] + name) for prefix, name in pairs)


EVENT: Final = DataFile(
    "event.txt",
    NAMESPACES["dwc"] + "Event",
    columns_of("""
        dwc:eventID dwc:parentEventID dwc:eventType dwc:eventDate dwc:year dwc:month dwc:day
        dwc:habitat dwc:samplingProtocol dwc:sampleSizeValue dwc:sampleSizeUnit
        dwc:samplingEffort dwc:minimumDepthInMeters dwc:maximumDepthInMeters dwc:countryCode
        dwc:locationID dwc:decimalLatitude dwc:decimalLongitude dwc:geodeticDatum
        dwc:coordinateUncertaintyInMeters dwc:coordinatePrecision dwc:footprintWKT
        dwc:footprintSRS dwc:georeferenceProtocol dcterms:license dcterms:rightsHolder
        dcterms:accessRights dwc:institutionCode dwc:datasetID dwc:datasetName
        dwc:informationWithheld dwc:dataGeneralizations dc:type dc:language dcterms:modified
        dcterms:references
    """),
    is_core=True,
)

OCCURRENCE: Final = DataFile(
    "occurrence.txt",
    NAMESPACES["dwc"] + "Occurrence",
    columns_of("""
        dwc:occurrenceID dwc:eventID dwc:basisOfRecord dwc:occurrenceStatus dwc:individualCount
        dwc:organismQuantity dwc:organismQuantityType dwc:lifeStage dwc:scientificName
        dwc:taxonRank dwc:kingdom dwc:phylum dwc:class dwc:family dwc:genus dwc:vernacularName
        dwc:verbatimIdentification dwc:identificationVerificationStatus dwc:identifiedBy
        dwc:recordedBy dwc:recordedByID dwc:dynamicProperties
    """),
)

HUMBOLDT: Final = DataFile(
    "humboldt.txt",
    NAMESPACES["eco"] + "Event",
    columns_of("""
        eco:siteCount eco:totalAreaSampledValue eco:totalAreaSampledUnit eco:targetHabitatScope
        eco:targetTaxonomicScope eco:targetLifeStageScope eco:excludedLifeStageScope
        eco:isTaxonomicScopeFullyReported eco:isLifeStageScopeFullyReported
        eco:isAbsenceReported eco:absentTaxa eco:hasNonTargetTaxa eco:taxonCompletenessReported
        eco:compilationTypes eco:inventoryTypes eco:protocolNames eco:protocolDescriptions
        eco:protocolReferences eco:isAbundanceReported eco:isAbundanceCapReported
        eco:isLeastSpecificTargetCategoryQuantityInclusive eco:hasVouchers
        eco:hasMaterialSamples eco:samplingPerformedBy eco:isSamplingEffortReported
        eco:samplingEffortProtocol eco:samplingEffortValue eco:samplingEffortUnit
    """),
)

MEASUREMENT: Final = DataFile(
    "extendedmeasurementorfact.txt",
    NAMESPACES["emof"] + "ExtendedMeasurementOrFact",
    columns_of("""
        dwc:measurementID dwc:occurrenceID dwc:measurementType emof:measurementTypeID
        dwc:measurementValue dwc:measurementUnit dwc:measurementMethod dwc:measurementRemarks
    """),
)

# The archive of occurrences alone: each row carries the columns of its event.
OCCURRENCE_CORE: Final = DataFile(
    "occurrence.txt",
    OCCURRENCE.row_type,
    tuple(dict.fromkeys(OCCURRENCE.columns + EVENT.columns)),
    is_core=True,
)

METADATA_FILE: Final = "eml.xml"
DESCRIPTOR_FILE: Final = "meta.xml"
