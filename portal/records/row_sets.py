"""Sets of row versions: those of a release, and the documents that are kept beside rows."""

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.db.models import Q

from portal.records.documents import document_of

# Columns of a version that its document does not tell.
_UNTOLD = {"since_release", "until_release", "hidden", "modified_at", "document"}
_PREPARED_AT_ONCE = 500


class VersionedRows(models.QuerySet[Any]):
    """Questions that hold for every published table."""

    def at(self, release: int) -> "VersionedRows":
        """Keep the row versions visible in a release."""
        return self.standing(release).filter(hidden=False)

    def standing(self, release: int) -> "VersionedRows":
        """Keep the row versions of a release, hidden ones included."""
        return self.filter(
            Q(until_release__isnull=True) | Q(until_release__gt=release),
            since_release__lte=release,
        )

    def current(self) -> "VersionedRows":
        """Keep the newest version of each row that still stands, hidden ones included."""
        return self.filter(until_release__isnull=True)

    def update(self, **columns: Any) -> int:
        """Change columns; the documents of the rows go unless none of what they tell changes."""
        if not columns.keys() <= _UNTOLD:
            columns.setdefault("document", None)
        return super().update(**columns)

    def bulk_create(self, objs: Iterable[Any], *args: Any, **options: Any) -> list[Any]:
        """Store rows with their documents."""
        rows = list(objs)
        for row in rows:
            row.document = document_of(row)
        return super().bulk_create(rows, *args, **options)

    def prepare_documents(self) -> int:
        """Write the documents that are missing; returns how many."""
        written = 0
        missing = self.filter(document__isnull=True).order_by("row")
        while rows := list(missing[:_PREPARED_AT_ONCE]):
            for row in rows:
                row.document = document_of(row)
            written += self.bulk_update(rows, ["document"])
        return written


_Rows = models.Manager.from_queryset(VersionedRows)


class RowManager(_Rows[Any]):
    """Leave documents where they are: only pages of whole rows read them."""

    def get_queryset(self) -> VersionedRows:
        """Return all rows."""
        return VersionedRows(self.model, using=self._db).defer("document")
