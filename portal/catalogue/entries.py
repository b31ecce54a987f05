"""What a catalogue lists: each release with its description and the files that stand."""

from dataclasses import dataclass
from datetime import datetime

from django.core.cache import cache
from django.db.models import Max

from portal.archive.edition import edition_of
from portal.archive.metadata import DatasetMetadata, dataset_metadata, figures_of
from portal.archive.release_files import LABELS
from portal.records.models import Release, ReleaseFile

KEPT_FOR_S = 24 * 60 * 60


@dataclass(frozen=True)
class Entry:
    """A release, and the files of its newest build that stand, the archive first."""

    metadata: DatasetMetadata
    files: tuple[ReleaseFile, ...]
    changed_at: datetime


def entries() -> list[Entry]:
    """Return all releases, the newest first."""
    return [entry_of(release) for release in Release.objects.order_by("-number")]


def entry_of(release: Release) -> Entry:
    """Return what a catalogue says of a release."""
    files = standing_files(release)
    return Entry(_metadata(release, files), tuple(files), changed_at(release))


def _metadata(release: Release, files: list[ReleaseFile]) -> DatasetMetadata:
    """Return the description of a release.

    Its figures are kept by the checksum of a file: the same bytes have the same figures.
    """
    edition = edition_of(release)
    if not files:
        return dataset_metadata(edition)
    key = f"figures/{files[0].sha256}"
    figures = cache.get_or_set(key, lambda: figures_of(edition), KEPT_FOR_S)
    return dataset_metadata(edition, figures)


def standing_files(release: Release) -> list[ReleaseFile]:
    """Return the files of the newest build that stands, the archive first."""
    standing = release.files.filter(gone_at__isnull=True)
    newest = standing.aggregate(build=Max("build"))["build"]
    by_name = {file.name: file for file in standing.filter(build=newest)}
    return [by_name[name] for name in LABELS if name in by_name]


def changed_at(release: Release) -> datetime:
    """Return when a release was issued, built again, or given a DOI, whichever was last."""
    built_at = release.files.aggregate(last=Max("built_at"))["last"]
    return max(at for at in (release.issued_at, release.doi_set_at, built_at) if at is not None)
