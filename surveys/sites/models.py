"""Exact places; nothing here is ever published as it stands."""

from django.db import models
from django.db.models import Q

from surveys.people.models import Group, Participant
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
    latitude = models.DecimalField(max_digits=9, decimal_places=7)
    longitude = models.DecimalField(max_digits=10, decimal_places=7)
    uncertainty_m = models.FloatField(null=True, blank=True)
    placed_by_hand = models.BooleanField(default=False)
    public_id = models.UUIDField(null=True, blank=True, unique=True)

    class Meta:
        ordering = ["code"]
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
