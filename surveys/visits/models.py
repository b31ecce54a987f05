"""Visits, pits, phases, counts, soil observations and determinations, as recorded."""

from django.db import models
from django.db.models import Q

from surveys.people.models import Group, Participant, Reviewer
from surveys.protocol.models import ProtocolVersion
from surveys.protocol.vocabulary import (
    CountState,
    EcologicalGroup,
    LifeStage,
    PhaseKind,
    PhaseState,
    SoilProperty,
)
from surveys.sites.models import Site


class VisitState(models.TextChoices):
    """Where a visit stands on its way."""

    IN_REVIEW = "in_review", "in review"
    ASKED_BACK = "asked_back", "asked back"
    ACCEPTED = "accepted", "accepted"
    DECLINED = "declined", "declined"
    WITHDRAWN = "withdrawn", "withdrawn"


class Visit(models.Model):
    """One site, one day, one protocol version."""

    group = models.ForeignKey(Group, on_delete=models.PROTECT, related_name="visits")
    client_ref = models.CharField(max_length=80)
    revision = models.PositiveIntegerField(default=1)
    protocol = models.ForeignKey(ProtocolVersion, on_delete=models.PROTECT)
    participant = models.ForeignKey(Participant, on_delete=models.PROTECT, related_name="visits")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="visits")
    visited_on = models.DateField()
    people_digging = models.PositiveIntegerField(null=True, blank=True)
    note = models.TextField(blank=True)
    note_approved = models.BooleanField(default=False)
    sent_at = models.DateTimeField(null=True, blank=True, help_text="The sender's own clock.")
    received_at = models.DateTimeField()
    state = models.CharField(
        max_length=20, choices=VisitState.choices, default=VisitState.IN_REVIEW
    )
    payload_sha256 = models.CharField(max_length=64)
    public_id = models.UUIDField(null=True, blank=True, unique=True)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["state", "id"])]
        constraints = [
            models.UniqueConstraint(fields=["group", "client_ref"], name="visit_ref_in_group"),
            models.CheckConstraint(
                condition=Q(state__in=VisitState.values), name="visit_state_known"
            ),
            models.CheckConstraint(condition=Q(revision__gte=1), name="visit_revision_from_one"),
            models.CheckConstraint(
                condition=Q(people_digging__isnull=True) | Q(people_digging__gte=1),
                name="visit_people_at_least_one",
            ),
        ]

    def __str__(self) -> str:
        return self.client_ref

    def current_pits(self) -> "models.QuerySet[Pit]":
        """Return the pits of the newest revision; earlier ones stay as history."""
        return self.pits.filter(revision=self.revision).order_by("number")


class Pit(models.Model):
    """One hole of one revision; lengths in cm.

    Management is a list, "not known" (the flag) or not entered (neither).
    """

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="pits")
    revision = models.PositiveIntegerField(default=1)
    number = models.PositiveSmallIntegerField()
    habitat = models.CharField(max_length=40)
    management = models.JSONField(null=True, blank=True)
    management_unknown = models.BooleanField(default=False)
    width_cm = models.DecimalField(max_digits=6, decimal_places=2)
    length_cm = models.DecimalField(max_digits=6, decimal_places=2)
    depth_cm = models.DecimalField(max_digits=6, decimal_places=2)
    sorting_minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    sorted_to_end = models.BooleanField(null=True, blank=True)
    total = models.PositiveIntegerField(null=True, blank=True)
    latitude = models.DecimalField(max_digits=9, decimal_places=7, null=True, blank=True)
    longitude = models.DecimalField(max_digits=10, decimal_places=7, null=True, blank=True)
    public_id = models.UUIDField(null=True, blank=True, unique=True)

    class Meta:
        ordering = ["visit_id", "revision", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["visit", "revision", "number"], name="pit_number_in_visit"
            ),
            models.CheckConstraint(condition=Q(number__gte=1), name="pit_number_from_one"),
            models.CheckConstraint(
                condition=Q(width_cm__gt=0, length_cm__gt=0, depth_cm__gt=0),
                name="pit_lengths_positive",
            ),
            models.CheckConstraint(
                condition=Q(latitude__isnull=True, longitude__isnull=True)
                # said in so many words, for a comparison with null lets a row pass
                | Q(latitude__isnull=False, longitude__isnull=False)
                & Q(latitude__gte=-90, latitude__lte=90, longitude__gte=-180, longitude__lte=180),
                name="pit_position_whole_and_on_the_globe",
            ),
            models.CheckConstraint(
                condition=Q(management_unknown=False) | Q(management__isnull=True),
                name="pit_management_unknown_or_listed",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.visit} pit {self.number}"


class Phase(models.Model):
    """One step of a pit; volume in ml, wait in minutes."""

    pit = models.ForeignKey(Pit, on_delete=models.CASCADE, related_name="phases")
    kind = models.CharField(max_length=20, choices=PhaseKind.choices)
    state = models.CharField(max_length=20, choices=PhaseState.choices)
    agent = models.CharField(max_length=60, blank=True)
    volume_ml = models.PositiveIntegerField(null=True, blank=True)
    wait_min = models.PositiveSmallIntegerField(null=True, blank=True)
    public_id = models.UUIDField(null=True, blank=True, unique=True)

    class Meta:
        ordering = ["pit_id", "id"]
        constraints = [
            models.UniqueConstraint(fields=["pit", "kind"], name="phase_kind_in_pit"),
            models.CheckConstraint(
                condition=Q(kind__in=PhaseKind.values, state__in=PhaseState.values),
                name="phase_words_known",
            ),
            models.CheckConstraint(
                condition=Q(state=PhaseState.DONE)
                | Q(agent="", volume_ml__isnull=True, wait_min__isnull=True),
                name="phase_pours_only_when_done",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pit} {self.kind}"


class Count(models.Model):
    """One line of the form as the recorder wrote it; later labels are determinations."""

    phase = models.ForeignKey(Phase, on_delete=models.CASCADE, related_name="counts")
    group = models.CharField(max_length=20, choices=EcologicalGroup.choices)
    stage = models.CharField(max_length=20, choices=LifeStage.choices)
    taxon = models.CharField(max_length=120, blank=True)
    state = models.CharField(max_length=20, choices=CountState.choices)
    number = models.IntegerField(null=True, blank=True)
    public_id = models.UUIDField(null=True, blank=True, unique=True)

    class Meta:
        ordering = ["phase_id", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["phase", "group", "stage", "taxon"], name="count_line_in_phase"
            ),
            models.CheckConstraint(
                condition=Q(state=CountState.COUNTED, number__isnull=False, number__gte=0)
                | Q(
                    state__in=[CountState.NOT_LOOKED_FOR, CountState.NOT_ENTERED],
                    number__isnull=True,
                ),
                name="count_number_with_state",
            ),
            models.CheckConstraint(
                condition=Q(group__in=EcologicalGroup.values, stage__in=LifeStage.values),
                name="count_words_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.phase} {self.group} {self.stage}"


class Determination(models.Model):
    """A later, better count of one line; the last one holds and none is overwritten."""

    count = models.ForeignKey(Count, on_delete=models.CASCADE, related_name="determinations")
    sequence = models.PositiveSmallIntegerField()
    number = models.PositiveIntegerField()
    determined_by = models.ForeignKey(Reviewer, on_delete=models.PROTECT)
    determined_at = models.DateTimeField()
    reason_code = models.CharField(max_length=40)

    class Meta:
        ordering = ["count_id", "sequence"]
        constraints = [
            models.UniqueConstraint(
                fields=["count", "sequence"], name="determination_sequence_in_count"
            ),
            models.CheckConstraint(
                condition=Q(sequence__gte=1),
                name="determination_sequence_from_one",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} -> {self.number}"


class SoilObservation(models.Model):
    """One property of the soil of a pit; ``method`` names the key, acid or moisture state."""

    pit = models.ForeignKey(Pit, on_delete=models.CASCADE, related_name="soil")
    name = models.CharField(max_length=20, choices=SoilProperty.choices)
    state = models.CharField(max_length=20, choices=CountState.choices)
    value = models.CharField(max_length=40, blank=True)
    method = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["pit_id", "id"]
        constraints = [
            models.UniqueConstraint(fields=["pit", "name"], name="soil_property_in_pit"),
            models.CheckConstraint(
                condition=(Q(state=CountState.COUNTED) & ~Q(value=""))
                | Q(state__in=[CountState.NOT_LOOKED_FOR, CountState.NOT_ENTERED], value=""),
                name="soil_value_with_state",
            ),
            models.CheckConstraint(
                condition=Q(name__in=SoilProperty.values), name="soil_property_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pit} {self.name}"
