"""Build the files of a release, and rebuild them without withdrawn rows."""

import hashlib
import tempfile
from datetime import datetime

from django.core.files import File
from django.core.files.storage import default_storage

from portal.archive.package import write_archive
from portal.records.models import Release, ReleaseFile

ARCHIVE = "archive.zip"


def build_files(release: Release, *, at: datetime) -> ReleaseFile:
    """Write the release's archive under the next build number."""
    last = release.files.order_by("-build").first()
    with tempfile.TemporaryFile() as target:
        summary = write_archive(release, target)
        size_bytes = target.tell()
        target.seek(0)
        sha256 = hashlib.file_digest(target, "sha256").hexdigest()
        target.seek(0)
        made = ReleaseFile(
            release=release,
            build=last.build + 1 if last else 1,
            name=ARCHIVE,
            media_type="application/zip",
            size_bytes=size_bytes,
            sha256=sha256,
            rows=summary.rows,
            built_at=at,
        )
        default_storage.delete(made.storage_name)
        default_storage.save(made.storage_name, File(target))
    made.save()
    return made


def retire_files(release: Release, *, at: datetime) -> None:
    """Make the release's files unavailable at once and delete their bytes."""
    for file in release.files.filter(gone_at__isnull=True):
        file.gone_at = at
        file.save(update_fields=["gone_at"])
        default_storage.delete(file.storage_name)
