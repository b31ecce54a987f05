"""Outcomes of checks, kept for ever beside the revision they looked at."""

from django.db import models

from surveys.visits.models import Visit


class CheckOutcome(models.Model):
    """One finding of one check on one revision of a visit; what follows is policy, kept apart."""

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

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["visit", "revision"])]

    def __str__(self) -> str:
        return f"{self.label} {self.result or self.status}"
