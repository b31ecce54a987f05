"""Groups, participants, their consent, reviewers and access tokens."""

from datetime import datetime
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q


class Group(models.Model):
    """A partner group and the region it surveys (a box in decimal degrees)."""

    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=200)
    named_publicly = models.BooleanField(
        default=False, help_text="The group agreed to be credited by name."
    )
    west = models.DecimalField(max_digits=9, decimal_places=6)
    south = models.DecimalField(max_digits=9, decimal_places=6)
    east = models.DecimalField(max_digits=9, decimal_places=6)
    north = models.DecimalField(max_digits=9, decimal_places=6)
    meeting_latitude = models.DecimalField(max_digits=9, decimal_places=7, null=True, blank=True)
    meeting_longitude = models.DecimalField(max_digits=10, decimal_places=7, null=True, blank=True)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(south__lt=F("north"), west__lt=F("east")), name="group_box_in_order"
            ),
            models.CheckConstraint(
                condition=Q(meeting_latitude__isnull=True, meeting_longitude__isnull=True)
                | Q(meeting_latitude__isnull=False, meeting_longitude__isnull=False),
                name="group_meeting_point_whole",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Participant(models.Model):
    """A person in a group, known by the group's own code; name and contact are optional."""

    group = models.ForeignKey(Group, on_delete=models.PROTECT, related_name="participants")
    code = models.CharField(max_length=40)
    household = models.CharField(
        max_length=40,
        help_text="Household, farm business or institution, by the group's own code.",
    )
    name = models.CharField(max_length=200, blank=True)
    contact = models.CharField(max_length=200, blank=True)
    born_on = models.DateField(null=True, blank=True)
    joined_at = models.DateTimeField()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(fields=["group", "code"], name="participant_code_in_group"),
        ]

    def __str__(self) -> str:
        return self.code


class ConsentPurpose(models.TextChoices):
    """What a consent is for."""

    PUBLISH = "publish", "publish records, anonymous and blurred"
    BE_NAMED = "be_named", "be named as the recorder"
    PHOTOS = "photos", "keep and show photos"
    CONTACT = "contact", "be contacted"


class ConsentDecision(models.TextChoices):
    """Where a consent stands."""

    GIVEN = "given", "given"
    REFUSED = "refused", "refused"
    WITHDRAWN = "withdrawn", "withdrawn"
    PENDING = "pending", "asked, not answered"


class ConsentGiver(models.TextChoices):
    """Who answered."""

    SELF = "self", "the participant"
    GUARDIAN = "guardian", "a parent or guardian"


class ConsentQuerySet(models.QuerySet["Consent"]):
    """Questions about consents."""

    def latest_at(self, at: datetime) -> "ConsentQuerySet":
        """Keep each person's last answer per purpose made by an instant."""
        made = Consent.objects.filter(
            participant=models.OuterRef("participant"),
            purpose=models.OuterRef("purpose"),
            decided_at__lte=at,
        ).order_by("-decided_at", "-id")
        return self.filter(pk=models.Subquery(made.values("pk")[:1]))

    def in_force(self, purpose: str, at: datetime) -> "ConsentQuerySet":
        """Keep the given consents of a purpose that hold at an instant."""
        return (
            self.latest_at(at)
            .filter(purpose=purpose, decision=ConsentDecision.GIVEN)
            .filter(Q(ends_on__isnull=True) | Q(ends_on__gt=at.date()))
        )


class Consent(models.Model):
    """One answer of one person for one purpose; a later answer is a new row."""

    participant = models.ForeignKey(Participant, on_delete=models.CASCADE, related_name="consents")
    purpose = models.CharField(max_length=20, choices=ConsentPurpose.choices)
    decision = models.CharField(max_length=20, choices=ConsentDecision.choices)
    given_by = models.CharField(max_length=20, choices=ConsentGiver.choices)
    statement_version = models.CharField(max_length=20)
    decided_at = models.DateTimeField()
    ends_on = models.DateField(null=True, blank=True)

    objects = ConsentQuerySet.as_manager()

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["participant", "purpose", "decided_at"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(decision__in=ConsentDecision.values), name="consent_decision_known"
            ),
            models.CheckConstraint(
                condition=Q(purpose__in=ConsentPurpose.values), name="consent_purpose_known"
            ),
            models.CheckConstraint(
                condition=Q(given_by__in=ConsentGiver.values), name="consent_giver_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.participant} {self.purpose} {self.decision}"


class Reviewer(models.Model):
    """A person who reviews records, and perhaps may make releases."""

    code = models.CharField(max_length=40, unique=True)
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )
    participant = models.OneToOneField(
        Participant,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        help_text="The reviewer as a recorder, so that own records can be refused.",
    )
    is_steward = models.BooleanField(default=False)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code


class AccessToken(models.Model):
    """A bearer token of a group or of a reviewer; only its hash is kept."""

    SCOPES: ClassVar[tuple[str, ...]] = ("read", "submit", "withdraw", "review", "steward")

    group = models.ForeignKey(
        Group, on_delete=models.CASCADE, null=True, blank=True, related_name="tokens"
    )
    reviewer = models.ForeignKey(
        Reviewer, on_delete=models.CASCADE, null=True, blank=True, related_name="tokens"
    )
    name = models.CharField(max_length=80)
    prefix = models.CharField(max_length=12)
    sha256 = models.CharField(max_length=64, unique=True)
    scopes = models.JSONField(default=list)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(group__isnull=True, reviewer__isnull=False)
                | Q(group__isnull=False, reviewer__isnull=True),
                name="token_one_holder",
            ),
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("created_at")), name="token_ends_after_start"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.prefix} {self.name}"
