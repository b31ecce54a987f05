"""What a descriptor must keep to, re-keyed from the Darwin Core text guide (TDWG, 2023-09-13).

The guide's schema sees none of the rules on columns: those with "reported" come from faults of
other archives in public issue threads.
"""

from collections import Counter
from typing import Any

from lxml import etree

_GUIDE = "{http://rs.tdwg.org/dwc/text/}"
_LAYOUT = {
    "encoding": "UTF-8",
    "fieldsTerminatedBy": "\\t",
    "linesTerminatedBy": "\\n",
    "fieldsEnclosedBy": "",
    "ignoreHeaderLines": "1",
}


def faults(descriptor: bytes, members: dict[str, bytes]) -> list[str]:
    """Return what is wrong with a descriptor, given the files beside it."""
    archive = etree.fromstring(descriptor)
    found = [] if archive.attrib.get("metadata") in members else ["no metadata file"]
    if len(archive.findall(f"{_GUIDE}core")) != 1:
        found.append("not exactly one core")
    for file in archive:
        found += _faults_of_file(file, members)
    return found


def _faults_of_file(file: Any, members: dict[str, bytes]) -> list[str]:
    location = file.find(f"{_GUIDE}files/{_GUIDE}location").text
    if location not in members:
        return [f"{location} is missing"]
    found = [
        f"{location}: {name} is not {value!r}"
        for name, value in _LAYOUT.items()
        if file.attrib.get(name) != value
    ]
    header = members[location].decode("utf-8").split("\n")[0].split("\t")
    return found + [f"{location}: {fault}" for fault in _faults_of_columns(file, header)]


def _faults_of_columns(file: Any, header: list[str]) -> list[str]:
    is_core = file.tag == f"{_GUIDE}core"
    fields = file.findall(f"{_GUIDE}field")
    indexes = [int(field.attrib["index"]) for field in fields]
    terms = [field.attrib["term"] for field in fields]
    found = [] if _id_index(file, is_core=is_core) == "0" else ["no id in column 0"]
    if sorted(indexes) != list(range(0 if is_core else 1, len(header))):
        found.append("columns not mapped exactly once each (reported)")
    if repeated := [term for term, times in Counter(terms).items() if times > 1]:
        found.append(f"terms twice: {repeated}")
    found += [
        f"column {index} is headed {header[index]}, not {term}"
        for index, term in zip(indexes, terms, strict=True)
        if index < len(header) and term.rpartition("/")[2] != header[index]
    ]
    extras = {name for field in fields for name in field.attrib} - {"index", "term"}
    return found + [f"attribute {name} on a field" for name in sorted(extras)]


def _id_index(file: Any, *, is_core: bool) -> str | None:
    element = file.find(f"{_GUIDE}{'id' if is_core else 'coreid'}")
    return None if element is None else element.attrib.get("index")
