"""The descriptor of an archive: which file holds which rows, and what each column means."""

from collections.abc import Iterable
from xml.etree.ElementTree import Element, SubElement

from portal.archive.terms import METADATA_FILE, DataFile
from portal.archive.xml_document import document

TEXT_GUIDE = "http://rs.tdwg.org/dwc/text/"
_XSI = "http://www.w3.org/2001/XMLSchema-instance"

# Readers expect the escapes of two characters, and the default enclosure is a double quote.
_LAYOUT = {
    "encoding": "UTF-8",
    "fieldsTerminatedBy": "\\t",
    "linesTerminatedBy": "\\n",
    "fieldsEnclosedBy": "",
    "ignoreHeaderLines": "1",
}


def descriptor_document(files: Iterable[DataFile]) -> bytes:
    """Return the descriptor of the data files, the core first."""
    root = Element(
        "archive",
        {
            "xmlns": TEXT_GUIDE,
            "xmlns:xsi": _XSI,
            "xsi:schemaLocation": f"{TEXT_GUIDE} {TEXT_GUIDE}tdwg_dwc_text.xsd",
            "metadata": METADATA_FILE,
        },
    )
    for file in files:
        _describe(root, file)
    return document(root)


def _describe(root: Element, file: DataFile) -> None:
    element = SubElement(
        root, "core" if file.is_core else "extension", _LAYOUT | {"rowType": file.row_type}
    )
    SubElement(SubElement(element, "files"), "location").text = file.name
    SubElement(element, "id" if file.is_core else "coreid", {"index": "0"})
    for index, column in enumerate(file.columns, start=0 if file.is_core else 1):
        SubElement(element, "field", {"index": str(index), "term": column.term})
