"""The two XML files: there, well-formed, and without a document type."""

from collections.abc import Iterator

from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Document
from portal.checkarchive.xml_reading import DoctypeError

Problems = Iterator[Problem]


@rule("meta-missing", "document", "Darwin Core text guide 2023-09-13: meta.xml")
def descriptor_missing(document: Document) -> Problems:
    """Add meta.xml at the root of the zip, in lower case."""
    if document.is_descriptor and not document.is_there:
        yield Problem()


@rule("eml-missing", "document", "Darwin Core text guide 2023-09-13: archive@metadata")
def metadata_missing(document: Document) -> Problems:
    """Add the metadata file that meta.xml names."""
    if not document.is_descriptor and not document.is_there:
        yield Problem(value=document.name)


@rule("xml-doctype", "document", "XML 1.0: document type declaration; common practice")
def document_type(document: Document) -> Problems:
    """Remove the DOCTYPE: readers that mind their safety refuse the file."""
    if isinstance(document.refusal, DoctypeError):
        yield Problem(row=document.refusal.line)


@rule("xml-malformed", "document", "XML 1.0: well-formed documents")
def malformed(document: Document) -> Problems:
    """Make the file well-formed XML."""
    refusal = document.refusal
    if refusal and not isinstance(refusal, DoctypeError):
        yield Problem(value=str(refusal), row=refusal.line)
