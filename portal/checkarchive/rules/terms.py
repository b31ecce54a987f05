"""Which terms the columns mean."""

from collections.abc import Iterator
from urllib.parse import urlsplit

from portal.checkarchive.descriptor import Descriptor, Field
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.vocabulary import DWC, NAMESPACES, terms
from portal.checkarchive.yardstick import Yardstick

Problems = Iterator[Problem]
_LIST = "Darwin Core list of terms, versions to 2026-05-26"
_EARLIER_LIST = "2023-09-18"


@rule("term-iri", "descriptor", "Darwin Core text guide 2023-09-13: field@term")
def no_iri(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Name a term by its whole IRI."""
    yield from (_at(field) for field in _fields(descriptor) if not _is_iri(field.term))


@rule("term-unknown", "descriptor", _LIST)
def unknown(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Use a term of the standard's list, letter by letter."""
    for field in _fields(descriptor):
        if field.term.startswith(NAMESPACES) and field.term not in terms():
            yield _at(field)


@rule("term-foreign", "descriptor", _LIST, severity="note")
def foreign(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Know that readers of the standard skip a term of another vocabulary."""
    for field in _fields(descriptor):
        known = field.term in terms() or field.term.startswith(NAMESPACES)
        if _is_iri(field.term) and not known:
            yield _at(field)


@rule("term-class", "descriptor", _LIST)
def is_class(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Map a column to a property, not to a class."""
    for field in _fields(descriptor):
        if (term := terms().get(field.term)) and term.is_class:
            yield _at(field)


@rule("term-deprecated", "descriptor", _LIST, severity="warning")
def deprecated(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Use the term that replaced this one."""
    for field in _fields(descriptor):
        if (term := terms().get(field.term)) and term.is_deprecated:
            yield _at(field)


@rule("term-newer", "descriptor", f"{_LIST}; list of {_EARLIER_LIST}", severity="warning")
def newer(descriptor: Descriptor, yardstick: Yardstick) -> Problems:
    """Leave out terms that came after the generation of the standard that was asked for."""
    for field in _fields(descriptor):
        term = terms().get(field.term)
        is_newer = term and field.term.startswith(DWC) and term.since > _EARLIER_LIST
        if yardstick.profile == "2023-09" and is_newer:
            yield _at(field)


@rule("term-twice", "descriptor", "Darwin Core text guide 2023-09-13: field")
def twice(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Map a term to one column of a file."""
    for file in descriptor.files:
        seen: set[str] = set()
        for field in file.fields:
            if field.term in seen:
                yield _at(field)
            seen.add(field.term)


def _fields(descriptor: Descriptor) -> Iterator[Field]:
    return (field for file in descriptor.files for field in file.fields)


def _at(field: Field) -> Problem:
    return Problem("term", field.term, field.line)


def _is_iri(term: str) -> bool:
    try:
        parts = urlsplit(term)
    except ValueError:
        return False
    return bool(parts.scheme and (parts.netloc or parts.path)) and term.split() == [term]
