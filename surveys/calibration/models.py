"""Trials of the measuring itself: two observers of one pit, or known numbers put in."""

from django.db import models
from django.db.models import F, Q

from surveys.people.models import Group, Participant
from surveys.protocol.models import ProtocolVersion
from surveys.protocol.vocabulary import EcologicalGroup, LifeStage, PhaseKind


class TrialKind(models.TextChoices):
    """What the observer is compared with."""

    TWO_OBSERVERS = "two_observers", "another observer of the same pit"
    KNOWN_NUMBERS = "known_numbers", "known numbers put into the soil"


class CalibrationTrial(models.Model):
    """One trial of one observer; private, and never published."""

    group = models.ForeignKey(Group, on_delete=models.PROTECT, related_name="trials")
    client_ref = models.CharField(max_length=80)
    kind = models.CharField(max_length=20, choices=TrialKind.choices)
    protocol = models.ForeignKey(ProtocolVersion, on_delete=models.PROTECT)
    step = models.CharField(max_length=20, choices=PhaseKind.choices)
    observer = models.ForeignKey(Participant, on_delete=models.PROTECT, related_name="trials")
    first_observer = models.ForeignKey(
        Participant,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="trials_as_first",
        help_text="Who sorted the pit before; nobody where the numbers were known.",
    )
    held_on = models.DateField()
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["group", "client_ref"], name="trial_ref_in_group"),
            models.CheckConstraint(
                condition=Q(kind=TrialKind.TWO_OBSERVERS, first_observer__isnull=False)
                | Q(kind=TrialKind.KNOWN_NUMBERS, first_observer__isnull=True),
                name="trial_first_observer_with_kind",
            ),
            models.CheckConstraint(
                condition=Q(first_observer__isnull=True) | ~Q(first_observer=F("observer")),
                name="trial_observers_differ",
            ),
            models.CheckConstraint(condition=Q(step__in=PhaseKind.values), name="trial_step_known"),
        ]

    def __str__(self) -> str:
        return self.client_ref


class CalibrationLine(models.Model):
    """One group and stage of a trial: what is known, or was found first, and what was observed."""

    trial = models.ForeignKey(CalibrationTrial, on_delete=models.CASCADE, related_name="lines")
    group = models.CharField(max_length=20, choices=EcologicalGroup.choices)
    stage = models.CharField(max_length=20, choices=LifeStage.choices)
    known = models.PositiveIntegerField(help_text="Put in, or found by the first observer.")
    observed = models.PositiveIntegerField()

    class Meta:
        ordering = ["trial_id", "id"]
        constraints = [
            models.UniqueConstraint(fields=["trial", "group", "stage"], name="trial_line_once"),
            models.CheckConstraint(
                condition=Q(group__in=EcologicalGroup.values, stage__in=LifeStage.values),
                name="trial_line_words_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.trial} {self.group} {self.stage}"
