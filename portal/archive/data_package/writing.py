"""Write the package: a descriptor and its tables as CSV, in constant memory.

The table schemas are a draft under public review and some of their terms have no address yet,
so the package is experimental, and says so. Its words are those of the newer generation.
"""

import json
from contextlib import ExitStack
from typing import Any, BinaryIO, Final
from zipfile import ZipFile

from portal.archive.data_package.rows import BUILDERS
from portal.archive.data_package.tables import TABLES, definitions, field_names, file_name
from portal.archive.edition import edition_of
from portal.archive.metadata import DatasetMetadata, dataset_metadata
from portal.archive.profiles import NEWER
from portal.archive.reading import visit_trees
from portal.archive.spool import RowSpool, comma_separated
from portal.archive.values import instant
from portal.archive.zip_file import add_document, add_rows
from portal.records.models import Release

DESCRIPTOR_FILE: Final = "datapackage.json"
PROFILE: Final = "http://rs.tdwg.org/dwc-dp/1.0/dwc-dp-profile.json"
EXPERIMENTAL: Final = (
    "Experimental: the table schemas of this form are a draft, and it may change from release "
    "to release. The Darwin Core archive of the same release is the form to rely on."
)


def write_data_package(release: Release, target: BinaryIO) -> dict[str, int]:
    """Write a release as a data package; return the rows of each file.

    Raises
    ------
    LooseRowError, UnknownLicenceError, UnknownProtocolError, UnknownVerificationError
        If the release does not hold together or uses words that the package cannot carry.
    """
    edition = edition_of(release, NEWER)
    spools = {
        table: RowSpool(file_name(table), field_names(table), comma_separated) for table in TABLES
    }
    with ExitStack() as stack:
        for spool in spools.values():
            stack.enter_context(spool.lines)
        for visit in visit_trees(release.number):
            for table, spool in spools.items():
                spool.add_all(BUILDERS[table](edition, visit))
        descriptor = json.dumps(_descriptor(dataset_metadata(edition)), indent=1)
        with ZipFile(target, "w") as package:
            add_document(package, DESCRIPTOR_FILE, f"{descriptor}\n".encode(), release.issued_at)
            for spool in spools.values():
                add_rows(package, spool, release.issued_at)
    return {spool.name: spool.rows for spool in spools.values()}


def _descriptor(metadata: DatasetMetadata) -> dict[str, Any]:
    return {
        "profile": PROFILE,
        "id": metadata.identifier,
        "created": instant(metadata.issued_at),
        "version": str(metadata.release_number),
        "title": metadata.title,
        "description": "\n\n".join((EXPERIMENTAL, metadata.abstract, *metadata.remarks)),
        "homepage": metadata.release_page,
        "keywords": list(metadata.keywords),
        "licenses": [
            {
                "name": metadata.licence.spdx_id,
                "path": metadata.licence.legal_text,
                "title": metadata.licence.name,
            }
        ],
        "contributors": [
            {
                "title": metadata.rights_holder,
                "email": metadata.contact,
                "role": "publisher",
            }
        ],
        "resources": [_resource(table) for table in TABLES],
    }


def _resource(table: str) -> dict[str, Any]:
    return {
        "name": table,
        "path": file_name(table),
        "profile": "tabular-data-resource",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        **definitions()[table],
    }
