"""A release, and the dataset by its newest release, as search engines read them in a page."""

import json
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from portal.archive import addresses
from portal.archive.coverage import Coverage
from portal.archive.metadata import DatasetMetadata
from portal.archive.release_files import LABELS
from portal.archive.values import plain_number
from portal.catalogue.entries import Entry
from portal.records.doi import doi_address
from portal.records.models import ReleaseFile

Node = dict[str, Any]
# So that no text can end the element that the document stands in.
_ESCAPES = {ord(char): f"\\u{ord(char):04x}" for char in "<>&\u2028\u2029"}
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


def script_text(document: Node) -> SafeString:
    """Return a document as it may stand in a script element of a page."""
    text = json.dumps(document, ensure_ascii=False, indent=2).translate(_ESCAPES)
    return mark_safe(text)  # noqa: S308 -- each character that HTML could take for its own is escaped


def _described(entry: Entry) -> Node:
    metadata = entry.metadata
    owner = _organization(metadata.rights_holder) | {
        "url": metadata.site,
        "email": metadata.contact,
    }
    return {
        "@context": {"@vocab": "http://schema.org/"},
        "@type": "Dataset",
        "@id": metadata.identifier,
        "name": metadata.title,
        "description": metadata.abstract,
        "version": str(metadata.release_number),
        "keywords": list(metadata.keywords),
        "license": metadata.licence.legal_text,
        "isAccessibleForFree": True,
        "inLanguage": "en",
        "creator": owner,
        "publisher": owner,
        "contributor": [_organization(name) for name in metadata.credits],
        "datePublished": metadata.issued_on.isoformat(),
        "dateModified": entry.changed_at.date().isoformat(),
        "citation": metadata.citation,
        "measurementTechnique": list(metadata.method_steps),
        "variableMeasured": {
            "@type": "PropertyValue",
            "name": "individualCount",
            "propertyID": _COUNT,
        },
        "includedInDataCatalog": {"@type": "DataCatalog", "url": addresses.catalogue()},
        "distribution": [_download(file, metadata) for file in entry.files],
    } | _covered(metadata.coverage, metadata.place_description)


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


def _organization(name: str) -> Node:
    return {"@type": "Organization", "name": name}
