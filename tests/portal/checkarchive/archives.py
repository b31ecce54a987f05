"""Two tiny archives without fault, written out by hand, and a draft that a test can spoil.

Structure: Darwin Core text guide (TDWG, 2023-09-13). The cell is one of 0.01 degrees at 51.2
degrees north; its centre lies 656.8 m from the farthest corner (standards mapping, section 1.1).
"""

from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

_NAMESPACES = {
    "dwc": "http://rs.tdwg.org/dwc/terms/",
    "dcterms": "http://purl.org/dc/terms/",
    "dc": "http://purl.org/dc/elements/1.1/",
    "eco": "http://rs.tdwg.org/eco/terms/",
    "obis": "http://rs.iobis.org/obis/terms/",
}
_CELL = "POLYGON ((-1.46 51.23, -1.45 51.23, -1.45 51.24, -1.46 51.24, -1.46 51.23))"
_LICENCE = "http://creativecommons.org/licenses/by/4.0/legalcode"
_PLACE = f"GB|51.235|-1.455|EPSG:4326|657|0.01|{_CELL}|EPSG:4326||"
_RIGHTS = (
    f"{_LICENCE}|Exact place: ask data@example.org|Centre of a cell|Event|2026-05-02T09:00:00Z"
)

# The columns of each file with the row type, the header of the id, and its rows.
_EVENT = (
    "dwc:Event",
    """dwc:eventID dwc:parentEventID dwc:eventDate dwc:year dwc:month dwc:day dwc:sampleSizeValue
    dwc:sampleSizeUnit dwc:minimumDepthInMeters dwc:maximumDepthInMeters dwc:countryCode
    dwc:decimalLatitude dwc:decimalLongitude dwc:geodeticDatum dwc:coordinateUncertaintyInMeters
    dwc:coordinatePrecision dwc:footprintWKT dwc:footprintSRS dwc:locality dwc:verbatimLocality
    dcterms:license dwc:informationWithheld dwc:dataGeneralizations dc:type dcterms:modified""",
    (
        f"visit-1||2026-04-12|2026|4|12|||||{_PLACE}|{_RIGHTS}",
        f"pit-1|visit-1|2026-04-12|2026|4|12|0.04|square metre|0|0.2|{_PLACE}|{_RIGHTS}",
        f"pit-2|visit-1|2026-04-12|2026|4|12|0.04|square metre|0|0.2|{_PLACE}|{_RIGHTS}",
    ),
)
_OCCURRENCE_TERMS = """dwc:basisOfRecord dwc:occurrenceStatus dwc:individualCount
    dwc:organismQuantity dwc:organismQuantityType dwc:lifeStage dwc:scientificName dwc:taxonRank
    dwc:establishmentMeans dwc:recordedBy dwc:recordedByID dwc:recordNumber"""
_FOUND = "HumanObservation|present|7|7|individuals|adult|Lumbricidae|family||Volunteers||"
_SPECIES = (
    "HumanObservation|present|2|2|individuals|adult|Lumbricus terrestris Linnaeus, 1758|species"
    "||Volunteers||"
)
_ABSENT = "HumanObservation|absent|0|0|individuals||Lumbricidae|family||Volunteers||"
_OCCURRENCE = (
    "dwc:Occurrence",
    f"coreid dwc:occurrenceID dwc:eventID {_OCCURRENCE_TERMS}",
    (
        f"pit-1|occurrence-1|pit-1|{_FOUND}",
        f"pit-1|occurrence-2|pit-1|{_SPECIES}",
        f"pit-2|occurrence-3|pit-2|{_ABSENT}",
    ),
)
_HUMBOLDT = (
    "eco:Event",
    """coreid eco:siteCount eco:totalAreaSampledValue eco:totalAreaSampledUnit
    eco:targetTaxonomicScope eco:isAbsenceReported eco:absentTaxa eco:hasVouchers
    eco:taxonCompletenessReported eco:isSamplingEffortReported eco:samplingEffortValue
    eco:samplingEffortUnit""",
    (
        "visit-1|1|||Lumbricidae|true|||notReported|true|2|pits",
        "pit-1|1|0.04|m²|Lumbricidae|true||false|notReported|true|40|personMinutes",
        "pit-2|1|0.04|m²|Lumbricidae|true|Lumbricidae|false|notReported|true|40|personMinutes",
    ),
)
_MEASUREMENT = (
    "obis:ExtendedMeasurementOrFact",
    "coreid dwc:measurementID dwc:occurrenceID dwc:measurementType dwc:measurementValue",
    (
        "pit-1|measurement-1||soil texture class|clay loam",
        "pit-1|measurement-2|occurrence-1|ecological group|endogeic",
    ),
)
_FLAT = (
    "dwc:Occurrence",
    f"""dwc:occurrenceID dwc:eventID dwc:eventDate dwc:decimalLatitude dwc:decimalLongitude
    dwc:geodeticDatum dwc:coordinateUncertaintyInMeters dcterms:license {_OCCURRENCE_TERMS}""",
    (
        f"occurrence-1|pit-1|2026-04-12|51.235|-1.455|EPSG:4326|657|{_LICENCE}|{_FOUND}",
        f"occurrence-2|pit-1|2026-04-12|51.235|-1.455|EPSG:4326|657|{_LICENCE}|{_SPECIES}",
        f"occurrence-3|pit-2|2026-04-12|51.235|-1.455|EPSG:4326|657|{_LICENCE}|{_ABSENT}",
    ),
)
_Table = tuple[str, str, tuple[str, ...]]
_EVENT_FORM: dict[str, _Table] = {
    "event.txt": _EVENT,
    "occurrence.txt": _OCCURRENCE,
    "humboldt.txt": _HUMBOLDT,
    "measurement.txt": _MEASUREMENT,
}
_FLAT_FORM: dict[str, _Table] = {"occurrence.txt": _FLAT}

_EML = f"""<?xml version="1.0" encoding="UTF-8"?>
<eml:eml xmlns:eml="https://eml.ecoinformatics.org/eml-2.2.0" packageId="pits/1" system="example">
<dataset>
<title>Pits of earthworms</title>
<creator><organizationName>Example Soil Survey Consortium</organizationName></creator>
<metadataProvider><organizationName>Example Consortium</organizationName></metadataProvider>
<pubDate>2026-05-02</pubDate>
<language>en</language>
<abstract><para>Counts of earthworms in small square soil pits.</para></abstract>
<intellectualRights>
<para><ulink url="{_LICENCE}"><citetitle>CC BY</citetitle></ulink></para>
</intellectualRights>
<licensed><licenseName>CC BY 4.0</licenseName><identifier>CC-BY-4.0</identifier></licensed>
<coverage>
<geographicCoverage><boundingCoordinates>
<westBoundingCoordinate>-1.46</westBoundingCoordinate>
<eastBoundingCoordinate>-1.45</eastBoundingCoordinate>
<northBoundingCoordinate>51.24</northBoundingCoordinate>
<southBoundingCoordinate>51.23</southBoundingCoordinate>
</boundingCoordinates></geographicCoverage>
<temporalCoverage><singleDateTime><calendarDate>2026-04-12</calendarDate></singleDateTime></temporalCoverage>
</coverage>
<contact><organizationName>Example Soil Survey Consortium</organizationName></contact>
</dataset>
</eml:eml>
"""


class Draft:
    """The files of an archive, to be spoilt and packed."""

    def __init__(self, form: dict[str, _Table]) -> None:
        self.files = {"meta.xml": _descriptor(form).encode(), "eml.xml": _EML.encode()}
        self.files |= {name: _text(table).encode() for name, table in form.items()}
        self.more: list[tuple[str, bytes]] = []

    def swap(self, name: str, old: str, new: str) -> None:
        """Put a text in the place of its first occurrence in a file."""
        assert old.encode() in self.files[name], f"{name} lacks {old!r}"
        self.files[name] = self.files[name].replace(old.encode(), new.encode(), 1)

    def put(self, name: str, row: int, **values: str) -> None:
        """Write values into a row; row 1 is the header."""
        lines = self.files[name].decode().split("\n")
        header, fields = lines[0].split("\t"), lines[row - 1].split("\t")
        for column, value in values.items():
            fields[header.index(column)] = value
        lines[row - 1] = "\t".join(fields)
        self.files[name] = "\n".join(lines).encode()

    def lines(self, name: str, *order: int) -> None:
        """Write the lines of a file in another order, some of them twice or not at all."""
        lines = self.files[name].decode().splitlines()
        self.files[name] = "".join(f"{lines[number - 1]}\n" for number in order).encode()

    def leave_out(self, name: str) -> None:
        """Take a file out of the zip."""
        del self.files[name]

    def pack(self, folder: Path) -> Path:
        """Write the zip."""
        path = folder / "archive.zip"
        with ZipFile(path, "w", ZIP_DEFLATED) as target:
            for name, content in [*self.files.items(), *self.more]:
                target.writestr(name, content)
        return path


def event_draft() -> Draft:
    """Return an archive of a visit and its two pits, one of them without earthworms."""
    return Draft(_EVENT_FORM)


def flat_draft() -> Draft:
    """Return an archive of three occurrences alone."""
    return Draft(_FLAT_FORM)


def _text(table: _Table) -> str:
    _, columns, rows = table
    header = "\t".join(column.rpartition(":")[2] for column in columns.split())
    return "".join(f"{line}\n" for line in (header, *(row.replace("|", "\t") for row in rows)))


def _descriptor(form: dict[str, _Table]) -> str:
    files = "".join(_file(name, table) for name, table in form.items())
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<archive xmlns="http://rs.tdwg.org/dwc/text/" metadata="eml.xml">\n'
        f"{files}</archive>\n"
    )


def _file(name: str, table: _Table) -> str:
    row_type, columns, _ = table
    names = columns.split()
    tag, id_tag = ("extension", "coreid") if names[0] == "coreid" else ("core", "id")
    fields = "".join(
        f'<field index="{index}" term="{_iri(column)}"/>\n'
        for index, column in enumerate(names)
        if column != "coreid"
    )
    return (
        f'<{tag} encoding="UTF-8" fieldsTerminatedBy="\\t" linesTerminatedBy="\\n" '
        f'fieldsEnclosedBy="" ignoreHeaderLines="1" rowType="{_iri(row_type)}">\n'
        f'<files><location>{name}</location></files>\n<{id_tag} index="0"/>\n{fields}</{tag}>\n'
    )


def _iri(curie: str) -> str:
    prefix, name = curie.split(":")
    return _NAMESPACES[prefix] + name
