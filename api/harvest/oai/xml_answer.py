"""The envelope of every answer, with what XML 1.0 cannot hold taken out."""

import re
from collections.abc import Mapping
from datetime import datetime
from xml.etree.ElementTree import Element, SubElement

from api.harvest.oai.faults import Fault
from api.links import address
from portal.archive.values import instant
from portal.archive.xml_document import document

OAI = "http://www.openarchives.org/OAI/2.0/"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
_UNWRITABLE = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def writable(text: str) -> str:
    """Return a text with a mark in place of each character that XML 1.0 cannot hold."""
    return _UNWRITABLE.sub("\N{REPLACEMENT CHARACTER}", text)


def base_url() -> str:
    """Return the address that answers every request."""
    return address("/oai")


def answer(content: Element, arguments: Mapping[str, str], at: datetime) -> bytes:
    """Return the whole answer around a verb's element or an error."""
    root = Element(
        "OAI-PMH",
        {
            "xmlns": OAI,
            "xmlns:xsi": XSI,
            "xsi:schemaLocation": f"{OAI} {OAI}OAI-PMH.xsd",
        },
    )
    SubElement(root, "responseDate").text = instant(at)
    asked = {name: writable(value) for name, value in arguments.items()}
    SubElement(root, "request", asked).text = base_url()
    root.append(content)
    return document(root)


def error(fault: Fault) -> Element:
    """Return an error."""
    element = Element("error", {"code": fault.code})
    element.text = writable(fault.message)
    return element
