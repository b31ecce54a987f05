"""An XML document as bytes, the same on every machine."""

from xml.etree.ElementTree import Element, indent, tostring


def document(root: Element) -> bytes:
    """Return a document in UTF-8, indented, ending with a line break."""
    indent(root)
    declaration = '<?xml version="1.0" encoding="UTF-8"?>'
    return f"{declaration}\n{tostring(root, encoding='unicode')}\n".encode()
