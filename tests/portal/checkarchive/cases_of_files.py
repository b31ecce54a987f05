"""Archives whose zip, XML files or bytes break a rule."""

from dataclasses import replace

from portal.checkarchive.yardstick import Yardstick
from tests.portal.checkarchive.archives import Draft, flat_draft
from tests.portal.checkarchive.cases import (
    DWC,
    EML,
    FACTS,
    FINDS,
    META,
    ZIP,
    Case,
    content,
    eml,
    entry,
    lines,
    meta,
    renamed,
    swaps,
    without,
)

EVENT_ID_FIELD = f'<field index="0" term="{DWC}eventID"/>\n'
DAY_FIELD = f'<field index="5" term="{DWC}day"/>\n'


def _at_an_address(draft: Draft) -> None:
    draft.swap(META, f"<location>{FACTS}", f"<location>http://example.org/{FACTS}")
    draft.leave_out(FACTS)


def _without_metadata(draft: Draft) -> None:
    draft.swap(META, ' metadata="eml.xml"', "")
    draft.leave_out(EML)


def _without_licence(draft: Draft) -> None:
    draft.swap(META, "dc/terms/license", "dc/terms/source")
    draft.swap(FINDS, "license", "source")


def _quoted(draft: Draft) -> None:
    """Declare quotes for the facts, and open one that no other closes."""
    head, _, facts = draft.files[META].decode().rpartition('fieldsEnclosedBy=""')
    draft.files[META] = f'{head}fieldsEnclosedBy="&quot;"{facts}'.encode()
    draft.put(FACTS, 3, measurementValue='"endogeic')


def _beyond(draft: Draft) -> None:
    """Map a column that the facts do not have."""
    draft.swap(
        META,
        f'<field index="4" term="{DWC}measurementValue"',
        '<field index="5" '
        f'term="{DWC}measurementRemarks"/><field index="4" term="{DWC}measurementValue"',
    )


ZIP_CASES = (
    entry("zip-name-unsafe", "../etc/passwd"),
    entry("zip-name-unsafe", "/root.txt"),
    entry("zip-name-unsafe", "C:\\event.txt"),
    entry("zip-folder", "data/notes.txt"),
    entry("zip-hidden", ".DS_Store"),
    entry("zip-hidden", "__MACOSX/._event.txt"),
    entry("zip-name-twice", "meta.XML"),
    without("zip-file-missing", FACTS, ZIP),
    entry("zip-file-undeclared", "notes.txt"),
)

DOCUMENT_CASES = (
    without("meta-missing", META, META),
    without("eml-missing", EML, EML),
    meta("xml-doctype", "<archive", "<!DOCTYPE archive [<!ENTITY a 'b'>]>\n<archive"),
    eml("xml-doctype", "<eml:eml", "<!DOCTYPE eml SYSTEM 'eml.dtd'>\n<eml:eml"),
    meta("xml-malformed", "</archive>", ""),
    eml("xml-malformed", "</title>", "</titel>"),
    eml("xml-malformed", "<abstract>", "<a>" * 120 + "</a>" * 120 + "<abstract>"),
)

DESCRIPTOR_CASES = (
    meta("meta-root", "http://rs.tdwg.org/dwc/text/", "http://rs.tdwg.org/dwc/text/2/"),
    meta("meta-structure", '<id index="0"/>', '<id index="0" name="a"/>', "id"),
    swaps(
        "meta-structure",
        META,
        {'<id index="0"/>': "", "</core>": '<id index="0"/></core>'},
        "core",
    ),
    swaps(
        "meta-one-core",
        META,
        {"<core": "<extension", "<id ": "<coreid ", "</core": "</extension"},
    ),
    meta("meta-row-type", "obis/terms/Extended", "obis/terms/extended", "rowType"),
    meta("meta-encoding", 'encoding="UTF-8" f', 'encoding="ISO-8859-1" f', "encoding"),
    meta("meta-delimiters", '"\\t"', '"tab"', "fieldsTerminatedBy"),
    meta("meta-layout-unwritten", 'linesTerminatedBy="\\n" ', "", "linesTerminatedBy"),
    Case(
        "meta-header-lines",
        lambda draft: draft.swap(META, 'Lines="1"', 'Lines="2"'),
        META,
        None,
        "ignoreHeaderLines",
        flat_draft,
    ),
    Case("meta-location", _at_an_address, META, None, "location"),
    meta("meta-id-missing", '<id index="0"/>', "", "id"),
    meta("meta-id-unmapped", EVENT_ID_FIELD, "", "id"),
    meta("meta-index-form", 'index="3"', 'index="three"', "index"),
    meta("meta-index-twice", 'index="19"', 'index="18"', "verbatimLocality"),
    meta("meta-index-gap", DAY_FIELD, "", "index"),
    meta("meta-field-empty", 'index="5" ', "", "index"),
    meta("meta-default", 'index="5" ', 'index="5" default="12" ', "day"),
    renamed("meta-column-missing", "basisOfRecord", "behavior", "basisOfRecord"),
    Case("eml-undeclared", _without_metadata, META, None, "metadata"),
    Case("licence-column", _without_licence, META, None, "license", flat_draft),
)

TERM_CASES = (
    renamed("term-iri", "lifeStage", "://lifeStage"),
    renamed("term-unknown", "lifeStage", "lifestage"),
    renamed("term-foreign", "lifeStage", "http://example.org/terms/lifeStage"),
    renamed("term-class", "recordNumber", "Taxon"),
    renamed("term-deprecated", "recordNumber", "individualID"),
    replace(
        renamed("term-newer", "recordNumber", "agentRoleOrder"),
        yardstick=Yardstick(profile="2023-09"),
    ),
    renamed("term-twice", "establishmentMeans", "recordNumber"),
)

TEXT_CASES = (
    content("text-bom", FACTS, b"coreid", b"\xef\xbb\xbfcoreid", 1),
    content("text-not-utf8", FACTS, b"clay loam", b"clay l\xf6am", 2),
    content("text-carriage-return", FACTS, b"Value\n", b"Value\r\n", 1),
    content("text-control-character", FACTS, b"clay loam", b"clay \x07loam", 2),
    content("text-control-character", FACTS, b"clay loam", b"clay\xe2\x80\xa8loam", 2),
    content("text-last-line", FACTS, b"endogeic\n", b"endogeic", 3),
    lines("text-empty-file", FACTS, (), 0),
    replace(lines("text-no-rows", FINDS, (1,), 0), draft=flat_draft),
    content("value-null-word", FACTS, b"clay loam", b"NULL", 2, "measurementValue"),
    content("value-untrimmed", FACTS, b"clay loam", b"loam ", 2, "measurementValue"),
    content("value-not-composed", FACTS, b"clay loam", b"cafe\xcc\x81", 2, "measurementValue"),
    content("header-differs", FACTS, b"tValue", b"t value", 1, "measurementValue"),
    content(
        "header-swapped", FACTS, b"measurementValue", b"measurementType", 1, "measurementValue"
    ),
    Case("index-beyond", _beyond, FACTS, 1, "measurementRemarks"),
    content("column-unmapped", FACTS, b"\n", b"\tx\n", 1),
    content("record-width", FACTS, b"clay loam", b"clay\tloam", 2),
    content("record-blank", FACTS, b"endogeic\n", b"endogeic\n\n", 4),
    Case("record-quotes", _quoted, FACTS, 3),
)

ALL_OF_FILES = ZIP_CASES + DOCUMENT_CASES + DESCRIPTOR_CASES + TERM_CASES + TEXT_CASES
