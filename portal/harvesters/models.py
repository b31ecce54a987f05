"""Harvesters and what they have confirmed; contacts are for stewards only."""

from django.db import models
from django.db.models import Q

from portal.records.models import ChangeEntry


class Harvester(models.Model):
    """A program that keeps a copy of our records; of its token only a hash is kept.

    One that left keeps its row without token and contact, for what it confirmed stays a proof.
    """

    name = models.CharField(max_length=120)
    contact = models.CharField(max_length=200, blank=True)
    homepage = models.URLField(max_length=200, blank=True)
    prefix = models.CharField(max_length=12)
    sha256 = models.CharField(max_length=64, unique=True, null=True, blank=True)
    registered_at = models.DateTimeField()
    joined_after = models.PositiveBigIntegerField(
        help_text="Number of the last change entry before it registered; 0 if there was none."
    )
    left_after = models.PositiveBigIntegerField(
        null=True, blank=True, help_text="Number of the last change entry before it left."
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(left_after__isnull=True, sha256__isnull=False)
                | Q(left_after__isnull=False, sha256__isnull=True, contact=""),
                name="harvester_left_without_token_and_contact",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Acknowledgement(models.Model):
    """When a harvester said that it has applied every change up to an entry."""

    harvester = models.ForeignKey(
        Harvester, on_delete=models.CASCADE, related_name="acknowledgements"
    )
    entry = models.ForeignKey(ChangeEntry, on_delete=models.PROTECT, related_name="+")
    acknowledged_at = models.DateTimeField()

    class Meta:
        ordering = ["harvester", "entry"]
        constraints = [
            models.UniqueConstraint(
                fields=["harvester", "entry"], name="acknowledgement_once_an_entry"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.harvester} up to {self.entry_id}"
