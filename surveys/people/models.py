"""Groups, participants, their consent, reviewers and access tokens."""

from datetime import datetime
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Exists, F, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce

from surveys.people.keys import answered_of_age, day_of, of_age, under_age

FIRST_MEANING = 1


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
    is_of_children = models.BooleanField(
        default=False, help_text="A school or children's club: who has no birthday here is a minor."
    )
    practice_of = models.OneToOneField(
        "self",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="practice_space",
        help_text="The group that tries things out here; nothing of it is ever published.",
    )

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
            models.CheckConstraint(
                condition=Q(practice_of__isnull=True) | Q(named_publicly=False),
                name="group_practice_unnamed",
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
    shown_name = models.CharField(
        max_length=100, blank=True, help_text="The name to stand beside records, if agreed to."
    )
    orcid = models.CharField(max_length=19, blank=True)
    born_on = models.DateField(null=True, blank=True)
    of_age_by = models.DateField(
        null=True,
        blank=True,
        help_text="In place of a birthday: a day on which the person was of age.",
    )
    joined_at = models.DateTimeField()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(fields=["group", "code"], name="participant_code_in_group"),
            models.CheckConstraint(
                condition=Q(born_on__isnull=True) | Q(of_age_by__isnull=True),
                name="participant_age_known_one_way",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class ConsentPurpose(models.TextChoices):
    """What a consent is for."""

    PUBLISH = "publish", "publish records, anonymous and blurred"
    BE_NAMED = "be_named", "be named as the recorder"
    PHOTOS = "photos", "keep and show photos"
    EXACT_PLACE = "exact_place", "show exact places to vetted researchers"
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


class ConsentEvidence(models.TextChoices):
    """By what an answer can be shown to have been given."""

    PAPER_FORM = "paper_form", "a signed form"
    ONLINE_PAGE = "online_page", "a page of ours"
    SPOKEN = "spoken", "spoken, and written down by the group"


class ConsentStatement(models.Model):
    """One version of what is asked for a purpose, as it was when first loaded; never changed."""

    purpose = models.CharField(max_length=20, choices=ConsentPurpose.choices)
    version = models.CharField(max_length=20)
    meaning = models.PositiveSmallIntegerField(
        help_text="Grows where the words ask for something else than before."
    )
    valid_from = models.DateField()
    older_end_on = models.DateField(help_text="From then on answers to older meanings don't hold.")
    texts = models.JSONField(help_text="By language: question, statement, and for children.")
    sha256 = models.CharField(max_length=64)
    loaded_at = models.DateTimeField()

    class Meta:
        ordering = ["purpose", "valid_from", "id"]
        constraints = [
            models.UniqueConstraint(fields=["purpose", "version"], name="statement_version_once"),
            models.CheckConstraint(
                condition=Q(purpose__in=ConsentPurpose.values), name="statement_purpose_known"
            ),
            models.CheckConstraint(
                condition=Q(older_end_on__gte=F("valid_from")), name="statement_grace_in_order"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.purpose}/{self.version}"


class ConsentQuerySet(models.QuerySet["Consent"]):
    """Questions about consents."""

    def latest_at(self, at: datetime) -> "ConsentQuerySet":
        """Keep the last answer of each who answers for a person and purpose, made by an instant."""
        made = Consent.objects.filter(
            participant=OuterRef("participant"),
            purpose=OuterRef("purpose"),
            given_by=OuterRef("given_by"),
            giver=OuterRef("giver"),
            decided_at__lte=at,
        ).order_by("-decided_at", "-id")
        return self.filter(pk=Subquery(made.values("pk")[:1]))

    def with_standing(self, at: datetime) -> "ConsentQuerySet":
        """Tell of each answer whether it is a yes, to the meaning asked for, and has not ended.

        An answer to words that are not stored counts as one to the first meaning.
        """
        asked = ConsentStatement.objects.filter(purpose=OuterRef("purpose"))
        own = asked.filter(version=OuterRef("statement_version")).values("meaning")[:1]
        newer = asked.filter(older_end_on__lte=day_of(at), meaning__gt=OuterRef("meaning"))
        return self.annotate(meaning=Coalesce(Subquery(own), FIRST_MEANING)).annotate(
            stands=models.Case(
                models.When(~Q(decision=ConsentDecision.GIVEN), then=False),
                models.When(ends_on__lte=day_of(at), then=False),
                models.When(Exists(newer), then=False),
                default=True,
            )
        )

    def in_force(self, purpose: str, at: datetime) -> "ConsentQuerySet":
        """Keep the answers by which something may be done for a purpose at an instant.

        For people of age it is their own yes, given when they were. For those under age a guardian
        and the child must both have said yes, and nobody who answers for them may have said else.
        """
        answers = Consent.objects.filter(decided_at__lte=at)
        same = answers.filter(participant=OuterRef("participant"), purpose=purpose)
        contrary = Consent.objects.latest_at(at).with_standing(at).filter(Q(stands=False))
        both = (
            Q(Exists(same.filter(given_by=ConsentGiver.GUARDIAN)))
            & Q(Exists(same.filter(given_by=ConsentGiver.SELF)))
            & ~Q(Exists(contrary.filter(participant=OuterRef("participant"), purpose=purpose)))
        )
        own = Q(given_by=ConsentGiver.SELF) & answered_of_age()
        standing = (
            self.latest_at(at).filter(purpose=purpose).with_standing(at).filter(Q(stands=True))
        )
        return standing.filter(
            under_age(at, Consent.objects) & both | of_age(at, Consent.objects) & own
        )


class Consent(models.Model):
    """One answer for one person and purpose; a later answer is a new row."""

    participant = models.ForeignKey(Participant, on_delete=models.CASCADE, related_name="consents")
    purpose = models.CharField(max_length=20, choices=ConsentPurpose.choices)
    decision = models.CharField(max_length=20, choices=ConsentDecision.choices)
    given_by = models.CharField(max_length=20, choices=ConsentGiver.choices)
    giver = models.CharField(
        max_length=40, blank=True, help_text="Which guardian, by a word of the group's own."
    )
    statement_version = models.CharField(max_length=20)
    language = models.CharField(max_length=10, blank=True)
    evidence = models.CharField(max_length=20, blank=True, choices=ConsentEvidence.choices)
    evidence_ref = models.CharField(max_length=40, blank=True)
    decided_at = models.DateTimeField()
    ends_on = models.DateField(null=True, blank=True)
    receipt_salt = models.CharField(max_length=32, blank=True)
    receipt_sha256 = models.CharField(max_length=64, blank=True)

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
            models.CheckConstraint(
                condition=Q(evidence__in=["", *ConsentEvidence.values]),
                name="consent_evidence_known",
            ),
            models.CheckConstraint(
                condition=Q(giver="") | Q(given_by=ConsentGiver.GUARDIAN),
                name="consent_only_guardians_differ",
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

    SCOPES: ClassVar[tuple[str, ...]] = (
        *("read", "submit", "withdraw", "coordinate"),
        *("review", "steward"),
    )

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


class PersonalLink(models.Model):
    """A way to a participant's own page for some days; only a hash of it is kept."""

    participant = models.ForeignKey(Participant, on_delete=models.CASCADE, related_name="links")
    held_by = models.CharField(
        max_length=20,
        choices=ConsentGiver.choices,
        default=ConsentGiver.SELF,
        help_text="Whose acts those by this link are.",
    )
    nonce_sha256 = models.CharField(max_length=64, unique=True)
    issued_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    used_at = models.DateTimeField(
        null=True, blank=True, help_text="When everything was withdrawn by it."
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("issued_at")), name="link_ends_after_start"
            ),
            models.UniqueConstraint(
                fields=["participant", "held_by"],
                condition=Q(revoked_at__isnull=True),
                name="link_unrevoked_once_by_holder",
            ),
            models.CheckConstraint(
                condition=Q(held_by__in=ConsentGiver.values), name="link_holder_known"
            ),
        ]

    def __str__(self) -> str:
        return f"link of {self.participant}"
