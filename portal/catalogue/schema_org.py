"""A release, the dataset by its newest release, and a snapshot, as search engines read them."""

import json
from typing import Any

from django.conf import settings
from django.utils.safestring import SafeString, mark_safe

from portal.archive import addresses
from portal.archive.coverage import Coverage
from portal.archive.metadata import DatasetMetadata
from portal.archive.release_files import LABELS
from portal.archive.values import plain_number
from portal.catalogue.citations import Work
from portal.catalogue.entries import Entry
from portal.records.doi import doi_address
from portal.records.models import ReleaseFile
from portal.snapshots.citing import CitedSnapshot

Node = dict[str, Any]
# So that no text can end the element that the document stands in.
_ESCAPES = {ord(char): f"\\u{ord(char):04x}" for char in "<>&\u2028\u2029"}
_STREAMED = {
    "csv": "text/csv",
    "ndjson": "application/x-ndjson",
    "parquet": "application/vnd.apache.parquet",
}
_COUNT = "http://rs.tdwg.org/dwc/terms/individualCount"


def dataset_json_ld(newest: Entry) -> Node:
    """Return the dataset under its lasting name, described by its newest release."""
    metadata = newest.metadata
    return _described(newest) | _identified(metadata.dataset_doi, metadata.dataset_page)


def release_json_ld(entry: Entry) -> Node:
    """Return one release."""
    metadata = entry.metadata
    return (
        _described(entry)
        | _identified(metadata.doi, metadata.page)
        | {"@id": metadata.page, "exampleOfWork": {"@id": metadata.identifier}}
    )


def snapshot_json_ld(work: CitedSnapshot) -> Node:
    """Return a snapshot as a part of its release."""
    release = work.snapshot.release
    return (
        _cited(work)
        | _identified("", work.page)
        | {
            "@id": work.page,
            "isPartOf": {"@type": "Dataset", "@id": release.page},
            "isBasedOn": release.cited_at,
            "distribution": [_streamed(work, form) for form in _STREAMED],
        }
    )


def script_text(document: Node) -> SafeString:
    """Return a document as it may stand in a script element of a page."""
    text = json.dumps(document, ensure_ascii=False, indent=2).translate(_ESCAPES)
    return mark_safe(text)  # noqa: S308 -- each character that HTML could take for its own is escaped


def _described(entry: Entry) -> Node:
    metadata = entry.metadata
    return (
        _cited(metadata)
        | {
            "@id": metadata.identifier,
            "dateModified": entry.changed_at.date().isoformat(),
            "measurementTechnique": list(metadata.method_steps),
            "variableMeasured": {
                "@type": "PropertyValue",
                "name": "individualCount",
                "propertyID": _COUNT,
            },
            "includedInDataCatalog": {"@type": "DataCatalog", "url": addresses.catalogue()},
            "distribution": [_download(file, metadata) for file in entry.files],
        }
        | _covered(metadata.coverage, metadata.place_description)
    )


def _cited(work: Work) -> Node:
    """Return what is said of any work that can be cited."""
    owner = _organization(work.rights_holder) | {
        "url": settings.PUBLIC_URL,
        "email": work.contact,
    }
    return {
        "@context": {"@vocab": "http://schema.org/"},
        "@type": "Dataset",
        "name": work.title,
        "description": work.abstract,
        "version": str(work.release_number),
        "keywords": list(work.keywords),
        "license": work.licence.legal_text,
        "isAccessibleForFree": True,
        "inLanguage": "en",
        "creator": owner,
        "publisher": owner,
        "contributor": [_organization(name) for name in work.credits],
        "datePublished": work.issued_on.isoformat(),
        "citation": work.citation,
    }


def _identified(doi: str, page: str) -> Node:
    """Return the page, and an identifier that is a node of its own without ``@id``."""
    if not doi:
        return {"url": page, "identifier": {"@type": "PropertyValue", "value": page, "url": page}}
    return {
        "url": page,
        "sameAs": doi_address(doi),
        "identifier": {
            "@type": "PropertyValue",
            "propertyID": "https://registry.identifiers.org/registry/doi",
            "value": f"doi:{doi}",
            "url": doi_address(doi),
        },
    }


def _covered(covered: Coverage, place_description: str) -> Node:
    node: Node = {
        "about": [
            {"@type": "Taxon", "name": taxon.scientific_name, "taxonRank": taxon.rank}
            for taxon in covered.taxa
        ]
    }
    if covered.first_on and covered.last_on:
        node["temporalCoverage"] = f"{covered.first_on}/{covered.last_on}"
    if covered.box:
        box = covered.box
        sides = (box.south, box.west, box.north, box.east)
        node["spatialCoverage"] = {
            "@type": "Place",
            "name": place_description,
            "geo": {"@type": "GeoShape", "box": " ".join(plain_number(side) for side in sides)},
        }
    return node


def _download(file: ReleaseFile, metadata: DatasetMetadata) -> Node:
    return {
        "@type": "DataDownload",
        "name": LABELS[file.name],
        "contentUrl": addresses.file(file.release_id, file.build, file.name),
        "encodingFormat": file.media_type.partition(";")[0],
        "contentSize": f"{file.size_bytes} B",
        "sha256": file.sha256,
        "license": metadata.licence.legal_text,
    }


def _streamed(work: CitedSnapshot, form: str) -> Node:
    """Return all rows in a format; the checksum is that of NDJSON."""
    node = {
        "@type": "DataDownload",
        "contentUrl": f"{work.snapshot.record}/rows?f={form}&limit=all",
        "encodingFormat": _STREAMED[form],
        "license": work.licence.legal_text,
    }
    return node | ({"sha256": work.content.sha256} if form == "ndjson" and work.content else {})


def _organization(name: str) -> Node:
    return {"@type": "Organization", "name": name}
