"""Outcomes of checks, kept for ever beside the revision they looked at, and possible doubles."""

from django.db import models
from django.db.models import F, Q

from surveys.people.models import Reviewer
from surveys.protocol.models import CheckSetting
from surveys.visits.models import Visit


class CheckOutcome(models.Model):
    """One finding of one check on one revision of a visit; what follows is policy, kept apart.

    The parameters are those of the visit's protocol, with ``setting`` in place of some of them. A
    later run adds rows of its own and says of the earlier ones when it took their place.
    """

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="outcomes")
    revision = models.PositiveIntegerField()
    label = models.CharField(max_length=80)
    version = models.CharField(max_length=20)
    source = models.CharField(max_length=20)
    status = models.CharField(max_length=40)
    result = models.CharField(max_length=200, blank=True)
    proposal = models.JSONField(default=dict, help_text="Offered, never applied.")
    comment = models.TextField()
    pointer = models.CharField(max_length=120, blank=True)
    arguments = models.JSONField(default=dict)
    run_at = models.DateTimeField()
    setting = models.ForeignKey(CheckSetting, on_delete=models.PROTECT, null=True, blank=True)
    superseded_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["visit", "revision"])]

    def __str__(self) -> str:
        return f"{self.label} {self.result or self.status}"


class Verdict(models.TextChoices):
    """What a reviewer found of two visits that look alike."""

    ONE_VISIT = "one_visit", "one visit, sent twice"
    TWO_VISITS = "two_visits", "two visits"


class DoublePair(models.Model):
    """Two visits that may be one, whoever sent them; for reviewers only."""

    first = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="pairs_as_first")
    second = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="pairs_as_second")
    found_at = models.DateTimeField()
    verdict = models.CharField(max_length=10, choices=Verdict.choices, blank=True)
    judged_by = models.ForeignKey(Reviewer, on_delete=models.PROTECT, null=True, blank=True)
    judged_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["first", "second"], name="double_pair_once"),
            models.CheckConstraint(condition=Q(first__lt=F("second")), name="double_pair_in_order"),
            models.CheckConstraint(
                condition=Q(verdict="", judged_by__isnull=True, judged_at__isnull=True)
                | Q(verdict__in=Verdict.values, judged_by__isnull=False, judged_at__isnull=False),
                name="double_verdict_whole",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first} and {self.second}"
