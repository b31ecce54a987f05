"""The descriptor of a single file."""

from portal.archive.descriptor import descriptor_document
from portal.archive.terms import EVENT, MEASUREMENT


def test_descriptor_writes_the_escapes_that_readers_expect() -> None:
    document = descriptor_document([EVENT]).decode()

    assert r'fieldsTerminatedBy="\t" linesTerminatedBy="\n" fieldsEnclosedBy=""' in document


def test_extension_starts_its_fields_after_the_id_of_the_event() -> None:
    document = descriptor_document([MEASUREMENT]).decode()

    assert '<coreid index="0" />' in document
    assert '<field index="1" term="http://rs.tdwg.org/dwc/terms/measurementID" />' in document
    assert MEASUREMENT.headers[:2] == ("coreid", "measurementID")
