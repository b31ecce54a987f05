"""Grants to researchers, and the groups that said no."""

import uuid
from datetime import datetime

from django.db import models
from django.db.models import F, Q

from surveys.people.models import Group


class GrantField(models.TextChoices):
    """What a grant lets a researcher see beside the public record."""

    EXACT_PLACE = "exact_place", "the exact place with its uncertainty"
    DAY = "day", "the day where only the month is public"


class ResearchGrantQuerySet(models.QuerySet["ResearchGrant"]):
    """Questions about grants."""

    def in_force(self, at: datetime) -> "ResearchGrantQuerySet":
        """Keep those that hold at an instant; the last day is the one before ``ends_on``."""
        return self.filter(
            Q(ended_at__isnull=True) | Q(ended_at__gt=at),
            starts_on__lte=at.date(),
            ends_on__gt=at.date(),
        )


class ResearchGrant(models.Model):
    """That a researcher may see fields of groups' records, for a purpose and a time."""

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    researcher = models.CharField(max_length=200)
    institution = models.CharField(max_length=200)
    contact = models.CharField(max_length=200)
    purpose = models.CharField(max_length=1000)
    fields = models.JSONField()
    groups = models.ManyToManyField(Group, related_name="grants")
    made_at = models.DateTimeField()
    author = models.CharField(max_length=120)
    starts_on = models.DateField()
    ends_on = models.DateField()
    ended_at = models.DateTimeField(null=True, blank=True)
    prefix = models.CharField(max_length=12)
    sha256 = models.CharField(max_length=64, unique=True)

    objects = ResearchGrantQuerySet.as_manager()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_on__gt=F("starts_on")), name="grant_ends_after_start"
            ),
        ]

    def __str__(self) -> str:
        return f"grant {self.key}"


class GrantVeto(models.Model):
    """That a group said no to a grant: from then on none of its records are in it."""

    grant = models.ForeignKey(ResearchGrant, on_delete=models.CASCADE, related_name="vetoes")
    group = models.ForeignKey(Group, on_delete=models.CASCADE, related_name="vetoes")
    reason = models.CharField(max_length=500, blank=True)
    made_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "grant vetoes"
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["grant", "group"], name="veto_once_a_group"),
        ]

    def __str__(self) -> str:
        return f"{self.group} against {self.grant}"
