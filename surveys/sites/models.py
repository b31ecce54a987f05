"""Exact places; nothing here is ever published as it stands."""

from datetime import datetime

from django.db import models
from django.db.models import F, Q

from surveys.people.models import ConsentEvidence, Group, Participant
from surveys.protocol.vocabulary import PlaceDetail, PlaceKind


class Site(models.Model):
    """A place with its exact position [decimal degrees, WGS 84] and the way it may be shown."""

    group = models.ForeignKey(Group, on_delete=models.PROTECT, related_name="sites")
    code = models.CharField(max_length=40)
    owner = models.ForeignKey(Participant, on_delete=models.PROTECT, related_name="sites")
    place_kind = models.CharField(max_length=20, choices=PlaceKind.choices)
    place_detail = models.CharField(
        max_length=20, choices=PlaceDetail.choices, default=PlaceDetail.STANDARD
    )
    place_detail_at = models.DateTimeField(
        null=True, blank=True, help_text="When another detail was last asked for."
    )
    latitude = models.DecimalField(max_digits=9, decimal_places=7)
    longitude = models.DecimalField(max_digits=10, decimal_places=7)
    uncertainty_m = models.FloatField(null=True, blank=True)
    placed_by_hand = models.BooleanField(default=False)
    public_id = models.UUIDField(null=True, blank=True, unique=True)
    place_number = models.PositiveIntegerField(
        default=1, help_text="Counts the places under which the site was published."
    )

    class Meta:
        ordering = ["code"]
        indexes = [models.Index(fields=["latitude", "longitude"], name="site_by_place")]
        constraints = [
            models.UniqueConstraint(fields=["group", "code"], name="site_code_in_group"),
            models.CheckConstraint(
                condition=Q(
                    latitude__gte=-90, latitude__lte=90, longitude__gte=-180, longitude__lte=180
                ),
                name="site_on_the_globe",
            ),
            models.CheckConstraint(
                condition=Q(uncertainty_m__isnull=True) | Q(uncertainty_m__gt=0),
                name="site_uncertainty_positive",
            ),
            models.CheckConstraint(
                condition=Q(place_kind__in=PlaceKind.values), name="site_place_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(place_detail__in=PlaceDetail.values), name="site_place_detail_known"
            ),
        ]

    def __str__(self) -> str:
        return self.code


class ExactPermissionQuerySet(models.QuerySet["ExactPermission"]):
    """Questions about permissions."""

    def in_force(self, at: datetime) -> "ExactPermissionQuerySet":
        """Keep those that hold at an instant; the last day is the one before ``ends_on``."""
        return self.filter(
            Q(ended_at__isnull=True) | Q(ended_at__gt=at),
            given_at__lte=at,
            starts_on__lte=at.date(),
            ends_on__gt=at.date(),
        )


class ExactPermission(models.Model):
    """That a person lets one site be shown where it is, from a day until before another."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="exact_permissions")
    participant = models.ForeignKey(
        Participant, on_delete=models.CASCADE, related_name="exact_permissions"
    )
    starts_on = models.DateField()
    ends_on = models.DateField()
    evidence = models.CharField(max_length=20, choices=ConsentEvidence.choices)
    given_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = ExactPermissionQuerySet.as_manager()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_on__gt=F("starts_on")), name="permission_ends_after_start"
            ),
            models.CheckConstraint(
                condition=Q(evidence__in=ConsentEvidence.values),
                name="permission_evidence_known",
            ),
            models.UniqueConstraint(
                fields=["site", "participant"],
                condition=Q(ended_at__isnull=True),
                name="permission_unended_once",
            ),
        ]

    def __str__(self) -> str:
        return f"exact place of {self.site} by {self.participant}"
