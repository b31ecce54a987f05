"""Decisions of reviewers and appeals of senders."""

from django.db import models
from django.db.models import Q

from surveys.people.models import Reviewer
from surveys.visits.models import Visit


class Decision(models.TextChoices):
    """What a reviewer may do with a visit."""

    ACCEPTED = "accepted", "accepted"
    ACCEPTED_WITH_CHANGE = "accepted_with_change", "accepted with a new determination"
    ASKED_BACK = "asked_back", "asked back"
    DECLINED = "declined", "declined"


class Review(models.Model):
    """One decision on one revision, with a reason whose text the sender sees."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="reviews")
    revision = models.PositiveIntegerField()
    reviewer = models.ForeignKey(Reviewer, on_delete=models.PROTECT, related_name="reviews")
    decision = models.CharField(max_length=30, choices=Decision.choices)
    reason_code = models.CharField(max_length=40, blank=True)
    message = models.TextField(blank=True)
    decided_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(decision__in=Decision.values), name="review_decision_known"
            ),
            models.CheckConstraint(
                condition=Q(decision=Decision.ACCEPTED) | ~Q(reason_code=""),
                name="review_reason_unless_accepted",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.visit} {self.decision}"


class Appeal(models.Model):
    """A sender's request for a second reviewer; the first one is out from then on."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="appeals")
    against = models.ForeignKey(Review, on_delete=models.PROTECT, related_name="appeals")
    text = models.TextField()
    raised_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["against"], name="appeal_once_per_review"),
        ]

    def __str__(self) -> str:
        return f"appeal on {self.visit}"
