"""Opinions of reviewers, who holds what, and appeals of senders."""

from django.db import models
from django.db.models import F, Q

from surveys.people.models import Reviewer
from surveys.visits.models import Visit


class Decision(models.TextChoices):
    """What a reviewer may do with a visit."""

    ACCEPTED = "accepted", "accepted"
    ACCEPTED_WITH_CHANGE = "accepted_with_change", "accepted with a new determination"
    ASKED_BACK = "asked_back", "asked back"
    DECLINED = "declined", "declined"


class Standing(models.TextChoices):
    """What an opinion is worth in its round."""

    HELD = "held", "waits for another look"
    DECIDING = "deciding", "is the decision"
    HEARD = "heard", "stands beside the decision"


class Review(models.Model):
    """One opinion on one revision, with a reason whose text the sender sees once it decides.

    A round ends with one decision. It takes one look, or up to three (see ``looks.py``).
    """

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="reviews")
    revision = models.PositiveIntegerField()
    reviewer = models.ForeignKey(Reviewer, on_delete=models.PROTECT, related_name="reviews")
    decision = models.CharField(max_length=30, choices=Decision.choices)
    reason_code = models.CharField(max_length=40, blank=True)
    message = models.TextField(blank=True)
    decided_at = models.DateTimeField()
    round = models.PositiveSmallIntegerField()
    look = models.PositiveSmallIntegerField(default=1)
    standing = models.CharField(max_length=10, choices=Standing.choices, default=Standing.DECIDING)
    changes = models.JSONField(default=list, help_text="Lines that this opinion counts anew.")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["visit", "round", "look"], name="review_look_once_in_round"
            ),
            models.CheckConstraint(
                condition=Q(look__gte=1, look__lte=3), name="review_looks_up_to_three"
            ),
            models.CheckConstraint(
                condition=Q(standing__in=Standing.values), name="review_standing_known"
            ),
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


class ReviewClaim(models.Model):
    """That a reviewer is at work on a visit until an instant."""

    visit = models.OneToOneField(Visit, on_delete=models.CASCADE, related_name="claim")
    reviewer = models.ForeignKey(Reviewer, on_delete=models.CASCADE, related_name="claims")
    claimed_at = models.DateTimeField()
    expires_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("claimed_at")), name="claim_ends_after_start"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.visit} claimed by {self.reviewer}"
