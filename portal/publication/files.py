"""Build the files of a release, and rebuild them without withdrawn rows."""

import hashlib
import tempfile
from datetime import datetime
from functools import partial

from django.core.files import File
from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import Max

from portal.archive.release_files import Kind, kinds_to_build
from portal.records.models import Release, ReleaseFile


def build_files(release: Release, *, at: datetime) -> list[ReleaseFile]:
    """Write the release's archives and tables under the next build number."""
    last = release.files.aggregate(build=Max("build"))["build"] or 0
    return [_build(kind, release, last + 1, at) for kind in kinds_to_build()]


def retire_files(release: Release, *, at: datetime) -> None:
    """Make the release's files unavailable at once and delete their bytes after the commit.

    A transaction that is rolled back leaves them as they were.
    """
    for file in release.files.filter(gone_at__isnull=True):
        file.gone_at = at
        file.save(update_fields=["gone_at"])
        transaction.on_commit(partial(default_storage.delete, file.storage_name))


def _build(kind: Kind, release: Release, build: int, at: datetime) -> ReleaseFile:
    with tempfile.TemporaryFile() as target:
        rows = kind.write(release, target)
        size_bytes = target.tell()
        target.seek(0)
        sha256 = hashlib.file_digest(target, "sha256").hexdigest()
        target.seek(0)
        made = ReleaseFile(
            release=release,
            build=build,
            name=kind.name,
            media_type=kind.media_type,
            size_bytes=size_bytes,
            sha256=sha256,
            rows=rows,
            built_at=at,
        )
        default_storage.delete(made.storage_name)
        default_storage.save(made.storage_name, File(target))
    made.save()
    return made
