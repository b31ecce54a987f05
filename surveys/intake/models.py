"""What was sent, word for word, and the answers already given."""

from django.db import models
from django.db.models import Q

from surveys.people.models import Group
from surveys.visits.models import Visit


class Submission(models.Model):
    """One batch as received; ``body`` holds the very bytes."""

    group = models.ForeignKey(Group, on_delete=models.PROTECT, related_name="submissions")
    public_key = models.UUIDField(unique=True)
    token_name = models.CharField(max_length=80)
    received_at = models.DateTimeField()
    body = models.BinaryField()
    body_sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return str(self.public_key)


class ItemOutcome(models.TextChoices):
    """What became of one visit of a batch."""

    STORED = "stored", "stored"
    CORRECTED = "corrected", "stored as a new revision"
    UNCHANGED = "unchanged", "already stored, unchanged"
    REJECTED = "rejected", "not stored"


class SubmissionItem(models.Model):
    """One visit of a batch: where it went, or why not."""

    submission = models.ForeignKey(Submission, on_delete=models.CASCADE, related_name="items")
    position = models.PositiveIntegerField()
    client_ref = models.CharField(max_length=80, blank=True)
    outcome = models.CharField(max_length=20, choices=ItemOutcome.choices)
    visit = models.ForeignKey(Visit, on_delete=models.SET_NULL, null=True, related_name="items")
    faults = models.JSONField(default=list)

    class Meta:
        ordering = ["submission_id", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["submission", "position"], name="item_position_in_submission"
            ),
            models.CheckConstraint(
                condition=Q(outcome__in=ItemOutcome.values), name="item_outcome_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.submission} {self.position}"


class IdempotentAnswer(models.Model):
    """The answer given to a key, so that sending again repeats nothing."""

    group = models.ForeignKey(Group, on_delete=models.CASCADE)
    key = models.CharField(max_length=128)
    request_sha256 = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField(null=True)
    answer = models.JSONField(null=True)
    created_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["group", "key"], name="idempotency_key_in_group"),
        ]

    def __str__(self) -> str:
        return self.key
