"""Snapshots, and the ids of the rows that each holds."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from portal.records.models import Release

ID_LENGTH = 12


class Snapshot(models.Model):
    """What a query of a release gave on one day; it is never changed or removed."""

    id = models.CharField(max_length=ID_LENGTH, primary_key=True)
    release = models.ForeignKey(Release, on_delete=models.PROTECT, related_name="snapshots")
    collection = models.CharField(max_length=20)
    query = models.TextField(help_text="The normalised query, with the release named.")
    query_sha256 = models.CharField(max_length=64, unique=True)
    fields = models.JSONField(help_text="Names of the columns, in order.")
    sort = models.CharField(max_length=40)
    rows = models.PositiveBigIntegerField()
    size_bytes = models.PositiveBigIntegerField(help_text="Of all rows as NDJSON.")
    sha256 = models.CharField(max_length=64, help_text="Of all rows as NDJSON.")
    groups = models.JSONField(help_text="Names of groups on its rows that may be named.")
    has_unnamed_groups = models.BooleanField()
    entry = models.PositiveBigIntegerField(
        help_text="Number of the last change entry before its rows were read."
    )
    created_at = models.DateTimeField()

    class Meta:
        ordering = ["created_at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(rows=0, size_bytes=0) | Q(rows__gt=0, size_bytes__gt=0),
                name="snapshot_bytes_with_rows",
            ),
        ]

    def __str__(self) -> str:
        return f"snapshot {self.id}"

    @property
    def page(self) -> str:
        """Return the permanent address."""
        return f"{settings.PUBLIC_URL}/snapshots/{self.id}"

    @property
    def record(self) -> str:
        """Return the address of all facts as JSON."""
        return f"{settings.PUBLIC_URL}/api/v1/snapshots/{self.id}"


class SnapshotIds(models.Model):
    """The ids of a run of a snapshot's rows, in their order, 16 bytes each.

    A row a part: random ids cannot be compressed, and a row an id would take four times as much.
    """

    snapshot = models.ForeignKey(Snapshot, on_delete=models.PROTECT, related_name="id_parts")
    number = models.PositiveIntegerField()
    ids = models.BinaryField()

    class Meta:
        verbose_name_plural = "snapshot ids"
        ordering = ["snapshot", "number"]
        constraints = [
            models.UniqueConstraint(fields=["snapshot", "number"], name="snapshot_part_once"),
        ]

    def __str__(self) -> str:
        return f"ids {self.number} of {self.snapshot_id}"
