"""The work on one uploaded file, and what was found wrong in it."""

from typing import Any

from django.db import models
from django.db.models import Q

from surveys.people.models import Group

FOLDER = "uploads"


class JobState(models.TextChoices):
    """Where a job stands."""

    QUEUED = "queued", "waiting for a worker"
    RUNNING = "running", "a worker is at it"
    ASKING = "asking", "waits for an answer on how to read the file"
    DONE = "done", "done"
    FAILED = "failed", "nothing of the file could be read"
    CANCELLED = "cancelled", "cancelled; what was stored before stays"


class JobPhase(models.TextChoices):
    """What is being done; each has its own unit of progress."""

    READING = "reading", "how to read the file"
    RECORDS = "records", "records"
    PHOTOS = "photos", "photos"
    FINISHED = "finished", "finished"


class FileKind(models.TextChoices):
    """What a file is, told by its bytes."""

    CSV = "csv", "CSV"
    NDJSON = "ndjson", "NDJSON"
    XLSX = "xlsx", "XLSX"
    ZIP = "zip", "a zip of a table and photos"


OPEN_STATES = (JobState.QUEUED, JobState.RUNNING, JobState.ASKING)


class UploadJob(models.Model):
    """One file sent by a group.

    ``done`` is the last row, or the number of photos, of the present phase whose outcome is
    stored: it moves in the same transaction as what is stored. ``answers`` are ways of reading
    that the group named, ``reading`` is what is used, ``questions`` what must be said first.
    """

    group = models.ForeignKey(Group, on_delete=models.PROTECT, related_name="uploads")
    public_key = models.UUIDField(unique=True)
    token_name = models.CharField(max_length=80)
    sha256 = models.CharField(max_length=64)
    size_bytes = models.BigIntegerField()
    received_at = models.DateTimeField()
    is_rehearsal = models.BooleanField(default=False)
    kind = models.CharField(max_length=20, choices=FileKind.choices, blank=True)
    answers = models.JSONField(default=dict)
    reading = models.JSONField(default=dict)
    questions = models.JSONField(default=list)
    apart = models.JSONField(default=list, help_text="References whose rows are not together.")
    state = models.CharField(max_length=20, choices=JobState.choices, default=JobState.QUEUED)
    phase = models.CharField(max_length=20, choices=JobPhase.choices, default=JobPhase.READING)
    done = models.PositiveBigIntegerField(default=0)
    total_rows = models.PositiveBigIntegerField(null=True)
    total_photos = models.PositiveBigIntegerField(default=0)
    tally = models.JSONField(default=dict)
    worker = models.CharField(max_length=80, blank=True)
    lease_until = models.DateTimeField(null=True)
    attempts = models.PositiveIntegerField(default=0, help_text="Starts without any progress.")
    is_cancelling = models.BooleanField(default=False)
    started_at = models.DateTimeField(null=True)
    finished_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=Q(state__in=JobState.values), name="job_state_known"),
            models.CheckConstraint(
                condition=Q(kind__in=["", *FileKind.values]), name="job_kind_known"
            ),
            models.CheckConstraint(condition=Q(phase__in=JobPhase.values), name="job_phase_known"),
        ]
        indexes = [models.Index(fields=["state", "id"], name="job_state")]

    def __str__(self) -> str:
        return str(self.public_key)

    @property
    def folder(self) -> str:
        """Return the name of the job's folder in the private store."""
        return f"{FOLDER}/{self.public_key}"

    @property
    def total(self) -> int | None:
        """Return how far ``done`` goes in the present phase, once that is known."""
        return self.total_photos if self.phase == JobPhase.PHOTOS else self.total_rows

    @property
    def percent(self) -> int | None:
        """Return whole percent of the present phase."""
        if self.phase == JobPhase.FINISHED:
            return 100
        return None if not self.total else min(99, self.done * 100 // self.total)

    def count(self, **more: int) -> None:
        """Add to the tally."""
        for name, number in more.items():
            self.tally[name] = self.tally.get(name, 0) + number


class UploadFault(models.Model):
    """One fault of a file: row and column as in a spreadsheet, what was received and is allowed."""

    job = models.ForeignKey(UploadJob, on_delete=models.CASCADE, related_name="faults")
    row = models.PositiveBigIntegerField(null=True)
    column = models.CharField(max_length=200, blank=True)
    record = models.CharField(max_length=80, blank=True)
    severity = models.CharField(max_length=10)
    code = models.CharField(max_length=60)
    message = models.TextField()
    received: Any = models.JSONField(null=True)
    allowed = models.TextField(blank=True)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["job", "row"], name="fault_row")]

    def __str__(self) -> str:
        return f"{self.job} {self.row} {self.column}"
