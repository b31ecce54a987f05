"""Every file of a release: its name, its type and who writes it."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import BinaryIO

from django.conf import settings

from portal.archive.data_package.writing import write_data_package
from portal.archive.edition import edition_of
from portal.archive.flat_tables import write_csv, write_parquet
from portal.archive.package import write_archive, write_occurrence_archive
from portal.records.models import Release
from portal.records.queries import TABLES

ARCHIVE = "archive.zip"
FLAT_ARCHIVE = "flat-archive.zip"
DATA_PACKAGE = "data-package.zip"
PARQUET_TYPE = "application/vnd.apache.parquet"
CSV_TYPE = "text/csv; charset=utf-8; header=present"
ZIP_TYPE = "application/zip"
Rows = dict[str, int]


@dataclass(frozen=True)
class Kind:
    """One file of a release; ``write`` returns the rows written by table."""

    name: str
    media_type: str
    label: str
    write: Callable[[Release, BinaryIO], Rows]


def kinds_to_build() -> list[Kind]:
    """Return the kinds that this installation builds."""
    return [kind for kind in FILE_KINDS if kind.name != DATA_PACKAGE or settings.DATA_PACKAGE]


def _archive(release: Release, target: BinaryIO) -> Rows:
    return write_archive(release, target).rows


def _flat_archive(release: Release, target: BinaryIO) -> Rows:
    return write_occurrence_archive(release, target).rows


def _parquet(collection: str, release: Release, target: BinaryIO) -> Rows:
    return {collection: write_parquet(edition_of(release), collection, target)}


def _csv(collection: str, release: Release, target: BinaryIO) -> Rows:
    return {collection: write_csv(edition_of(release), collection, target)}


FILE_KINDS: tuple[Kind, ...] = (
    Kind(ARCHIVE, ZIP_TYPE, "Darwin Core archive", _archive),
    Kind(
        FLAT_ARCHIVE,
        ZIP_TYPE,
        "Darwin Core archive of occurrences alone (give an aggregator one of the two, never both)",
        _flat_archive,
    ),
    Kind(DATA_PACKAGE, ZIP_TYPE, "Darwin Core data package (experimental)", write_data_package),
    *(
        Kind(f"{name}.parquet", PARQUET_TYPE, f"{name} as Parquet", partial(_parquet, name))
        for name in TABLES
    ),
    *(Kind(f"{name}.csv", CSV_TYPE, f"{name} as CSV", partial(_csv, name)) for name in TABLES),
)
LABELS = {kind.name: kind.label for kind in FILE_KINDS}
