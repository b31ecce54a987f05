"""How to cite a release or a snapshot, as a sentence and as reference managers read it."""

import json
import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from portal.archive.licences import Licence
from portal.archive.values import clean_text
from portal.catalogue.latex import latex


class Work(Protocol):
    """What must be known of a work to cite it."""

    @property
    def version_name(self) -> str:
        """What tells the work from others of the same title and year, in one word."""

    @property
    def release_number(self) -> int:
        """The number of the release."""

    @property
    def title(self) -> str:
        """The title."""

    @property
    def issued_on(self) -> date:
        """The day from which it stands."""

    @property
    def citation(self) -> str:
        """The citation in words."""

    @property
    def cited_doi(self) -> str:
        """The DOI, if there is one."""

    @property
    def page(self) -> str:
        """The permanent address."""

    @property
    def rights_holder(self) -> str:
        """Who holds the rights."""

    @property
    def contact(self) -> str:
        """Where to write to."""

    @property
    def licence(self) -> Licence:
        """The licence."""

    @property
    def credits(self) -> tuple[str, ...]:
        """The contributing groups that agreed to be named."""

    @property
    def thanks(self) -> str:
        """Who contributed, as a sentence."""

    @property
    def abstract(self) -> str:
        """What it is."""

    @property
    def keywords(self) -> tuple[str, ...]:
        """What it is about."""


@dataclass(frozen=True)
class CitationFormat:
    """A format of citations; ``write`` returns a whole file."""

    name: str
    media_type: str
    label: str
    ending: str
    write: Callable[[Work], str]


def citation_key(work: Work) -> str:
    """Return a short name of the work, in letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", work.title).encode("ascii", "ignore").decode()
    words = re.findall("[a-z0-9]+", plain.lower())[:4]
    return "-".join([*words, str(work.issued_on.year), work.version_name])


def sentence(work: Work) -> str:
    """Return the citation in words."""
    return f"{work.citation}\n"


def bibtex(work: Work) -> str:
    """Return an entry for BibTeX; names of organisations stand in braces, or they are split."""
    fields = {
        "author": f"{{{latex(work.rights_holder)}}}",
        "title": f"{{{latex(work.title)}}}",
        "year": str(work.issued_on.year),
        "version": f"Release {work.release_number}",
        "publisher": latex(work.rights_holder),
        "howpublished": "Data set",
        "doi": work.cited_doi,
        "url": work.page,
        "note": latex(_note(work)),
    }
    lines = [f"  {name} = {{{clean_text(value)}}}," for name, value in fields.items() if value]
    return "\n".join([f"@misc{{{citation_key(work)},", *lines, "}", ""])


def ris(work: Work) -> str:
    """Return a reference in the RIS format; its lines end with CR and LF."""
    lines = [f"{tag}  - {clean_text(value)}" for tag, value in _ris_fields(work) if value]
    return "".join(f"{line}\r\n" for line in [*lines, "ER  - "])


def csl_json(work: Work) -> str:
    """Return the citation as CSL-JSON, a list of one item."""
    item = {
        "id": citation_key(work),
        "type": "dataset",
        "title": work.title,
        "author": [{"literal": work.rights_holder}],
        "contributor": [{"literal": name} for name in work.credits],
        "publisher": work.rights_holder,
        "issued": {"date-parts": [[work.issued_on.year, work.issued_on.month, work.issued_on.day]]},
        "version": str(work.release_number),
        "DOI": work.cited_doi,
        "URL": work.page,
        "abstract": work.abstract,
        "keyword": ", ".join(work.keywords),
        "language": "en",
        "note": _licensed(work),
    }
    said = {name: value for name, value in item.items() if value}
    return json.dumps([said], ensure_ascii=False, indent=2) + "\n"


def citation_file(work: Work) -> str:
    """Return the citation as a CITATION.cff (1.2.0); texts are quoted as JSON, which is YAML."""
    message = f"Cite this release as: {work.citation} {work.thanks}"
    fields: list[tuple[str, object]] = [
        ("cff-version", "1.2.0"),
        ("message", message.strip()),
        ("type", "dataset"),
        ("title", work.title),
        ("authors", [{"name": work.rights_holder}]),
        ("contact", [{"name": work.rights_holder, "email": work.contact}]),
        ("version", str(work.release_number)),
        ("date-released", work.issued_on.isoformat()),
        ("doi", work.cited_doi),
        ("url", work.page),
        ("license", work.licence.spdx_id),
        ("keywords", list(work.keywords)),
        ("abstract", work.abstract),
    ]
    return "".join(
        f"{name}: {json.dumps(value, ensure_ascii=False)}\n" for name, value in fields if value
    )


def _ris_fields(work: Work) -> Iterator[tuple[str, str]]:
    yield "TY", "DATA"
    yield "AU", work.rights_holder
    yield "TI", work.title
    yield "PY", str(work.issued_on.year)
    yield "DA", f"{work.issued_on:%Y/%m/%d}"
    yield "ET", f"Release {work.release_number}"
    yield "PB", work.rights_holder
    yield "DO", work.cited_doi
    yield "UR", work.page
    yield "LA", "en"
    for keyword in work.keywords:
        yield "KW", keyword
    yield "AB", work.abstract
    yield "N1", _note(work)


def _note(work: Work) -> str:
    return f"{work.thanks} {_licensed(work)}".strip()


def _licensed(work: Work) -> str:
    return f"Licence: {work.licence.name}, {work.licence.legal_text}"


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
