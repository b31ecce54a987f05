"""How to cite a release, as a sentence and as reference managers read it."""

import json
import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from portal.archive.metadata import DatasetMetadata
from portal.archive.values import clean_text
from portal.catalogue.latex import latex


@dataclass(frozen=True)
class CitationFormat:
    """A format of citations; ``write`` returns a whole file."""

    name: str
    media_type: str
    label: str
    ending: str
    write: Callable[[DatasetMetadata], str]


def citation_key(metadata: DatasetMetadata) -> str:
    """Return a short name of the release, in letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", metadata.title).encode("ascii", "ignore").decode()
    words = re.findall("[a-z0-9]+", plain.lower())[:4]
    return "-".join([*words, str(metadata.issued_on.year), f"release{metadata.release_number}"])


def sentence(metadata: DatasetMetadata) -> str:
    """Return the citation in words."""
    return f"{metadata.citation}\n"


def bibtex(metadata: DatasetMetadata) -> str:
    """Return an entry for BibTeX; names of organisations stand in braces, or they are split."""
    fields = {
        "author": f"{{{latex(metadata.rights_holder)}}}",
        "title": f"{{{latex(metadata.title)}}}",
        "year": str(metadata.issued_on.year),
        "version": f"Release {metadata.release_number}",
        "publisher": latex(metadata.rights_holder),
        "howpublished": "Data set",
        "doi": metadata.cited_doi,
        "url": metadata.page,
        "note": latex(_note(metadata)),
    }
    lines = [f"  {name} = {{{clean_text(value)}}}," for name, value in fields.items() if value]
    return "\n".join([f"@misc{{{citation_key(metadata)},", *lines, "}", ""])


def ris(metadata: DatasetMetadata) -> str:
    """Return a reference in the RIS format; its lines end with CR and LF."""
    lines = [f"{tag}  - {clean_text(value)}" for tag, value in _ris_fields(metadata) if value]
    return "".join(f"{line}\r\n" for line in [*lines, "ER  - "])


def csl_json(metadata: DatasetMetadata) -> str:
    """Return the citation as CSL-JSON, a list of one item."""
    item = {
        "id": citation_key(metadata),
        "type": "dataset",
        "title": metadata.title,
        "author": [{"literal": metadata.rights_holder}],
        "contributor": [{"literal": name} for name in metadata.credits],
        "publisher": metadata.rights_holder,
        "issued": {
            "date-parts": [
                [metadata.issued_on.year, metadata.issued_on.month, metadata.issued_on.day]
            ]
        },
        "version": str(metadata.release_number),
        "DOI": metadata.cited_doi,
        "URL": metadata.page,
        "abstract": metadata.abstract,
        "keyword": ", ".join(metadata.keywords),
        "language": "en",
        "note": _licensed(metadata),
    }
    said = {name: value for name, value in item.items() if value}
    return json.dumps([said], ensure_ascii=False, indent=2) + "\n"


def citation_file(metadata: DatasetMetadata) -> str:
    """Return the citation as a CITATION.cff (1.2.0); texts are quoted as JSON, which is YAML."""
    message = f"Cite this release as: {metadata.citation} {metadata.thanks}"
    fields: list[tuple[str, object]] = [
        ("cff-version", "1.2.0"),
        ("message", message.strip()),
        ("type", "dataset"),
        ("title", metadata.title),
        ("authors", [{"name": metadata.rights_holder}]),
        ("contact", [{"name": metadata.rights_holder, "email": metadata.contact}]),
        ("version", str(metadata.release_number)),
        ("date-released", metadata.issued_on.isoformat()),
        ("doi", metadata.cited_doi),
        ("url", metadata.page),
        ("license", metadata.licence.spdx_id),
        ("keywords", list(metadata.keywords)),
        ("abstract", metadata.abstract),
    ]
    return "".join(
        f"{name}: {json.dumps(value, ensure_ascii=False)}\n" for name, value in fields if value
    )


def _ris_fields(metadata: DatasetMetadata) -> Iterator[tuple[str, str]]:
    yield "TY", "DATA"
    yield "AU", metadata.rights_holder
    yield "TI", metadata.title
    yield "PY", str(metadata.issued_on.year)
    yield "DA", f"{metadata.issued_on:%Y/%m/%d}"
    yield "ET", f"Release {metadata.release_number}"
    yield "PB", metadata.rights_holder
    yield "DO", metadata.cited_doi
    yield "UR", metadata.page
    yield "LA", "en"
    for keyword in metadata.keywords:
        yield "KW", keyword
    yield "AB", metadata.abstract
    yield "N1", _note(metadata)


def _note(metadata: DatasetMetadata) -> str:
    return f"{metadata.thanks} {_licensed(metadata)}".strip()


def _licensed(metadata: DatasetMetadata) -> str:
    return f"Licence: {metadata.licence.name}, {metadata.licence.legal_text}"


# Media types: none of the first three is registered; they are those in common use, from memory.
FORMATS = (
    CitationFormat("txt", "text/plain; charset=utf-8", "Text", "txt", sentence),
    CitationFormat("bib", "application/x-bibtex; charset=utf-8", "BibTeX", "bib", bibtex),
    CitationFormat("ris", "application/x-research-info-systems; charset=utf-8", "RIS", "ris", ris),
    CitationFormat(
        "csl", "application/vnd.citationstyles.csl+json", "CSL-JSON", "csl.json", csl_json
    ),
    CitationFormat("cff", "application/yaml", "CITATION.cff", "cff", citation_file),
)
