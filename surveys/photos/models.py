"""Photos of a visit's pits; nothing here is published."""

from datetime import datetime

from django.db import models
from django.db.models import Q

from surveys.people.models import Consent, ConsentPurpose, Reviewer
from surveys.visits.models import Pit, VisitState

FOLDER = "photos"


class PhotoKind(models.TextChoices):
    """What a photo shows."""

    PIT = "pit", "the pit and its surroundings"
    ANIMAL = "animal", "one or more animals"
    SOIL = "soil", "the soil"


class PhotoState(models.TextChoices):
    """Where a photo stands; the file of a refused one is gone."""

    HELD = "held", "waiting for a moderator"
    APPROVED = "approved", "approved"
    REFUSED = "refused", "refused"


class PhotoReason(models.TextChoices):
    """Why a photo was refused, in the words that the sender reads."""

    SHOWS_FACE = "shows-face", "A person can be recognised."
    SHOWS_PLACE = "shows-place", "The place can be recognised: a house, a sign, a view."
    SHOWS_TEXT = "shows-text", "A name, an address or a plate can be read."
    NOT_USEFUL = "not-useful", "It shows neither pit nor animal nor soil clearly."


class PhotoQuerySet(models.QuerySet["Photo"]):
    """Questions about photos."""

    def viewable(self, at: datetime) -> "PhotoQuerySet":
        """Keep those with a file whose recorder's consent holds, of visits that stand."""
        consenting = Consent.objects.in_force(ConsentPurpose.PHOTOS, at).values("participant")
        return self.filter(pit__visit__participant__in=consenting).exclude(
            Q(state=PhotoState.REFUSED) | Q(pit__visit__state=VisitState.WITHDRAWN)
        )


class Photo(models.Model):
    """One photo of one pit as it was sent with a revision; sizes in pixels and bytes.

    ``consent`` is the recorder's answer that allowed it to be taken in. The hash is of the
    rebuilt file: the sent one is not kept in any form.
    """

    public_key = models.UUIDField(unique=True)
    pit = models.ForeignKey(Pit, on_delete=models.PROTECT, related_name="photos")
    kind = models.CharField(max_length=20, choices=PhotoKind.choices)
    state = models.CharField(max_length=20, choices=PhotoState.choices, default=PhotoState.HELD)
    consent = models.ForeignKey(Consent, on_delete=models.PROTECT, related_name="photos")
    sha256 = models.CharField(max_length=64)
    size_bytes = models.PositiveIntegerField()
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    received_at = models.DateTimeField()
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(
        Reviewer, on_delete=models.PROTECT, null=True, blank=True, related_name="photos"
    )
    reason_code = models.CharField(max_length=20, choices=PhotoReason.choices, blank=True)

    objects = PhotoQuerySet.as_manager()

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["state", "id"])]
        constraints = [
            models.UniqueConstraint(fields=["pit", "sha256"], name="photo_once_in_pit"),
            models.CheckConstraint(
                condition=Q(kind__in=PhotoKind.values, state__in=PhotoState.values),
                name="photo_words_known",
            ),
            models.CheckConstraint(
                condition=Q(state=PhotoState.HELD, decided_at__isnull=True, decided_by__isnull=True)
                | Q(
                    state__in=[PhotoState.APPROVED, PhotoState.REFUSED],
                    decided_at__isnull=False,
                    decided_by__isnull=False,
                ),
                name="photo_decided_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(state=PhotoState.REFUSED, reason_code__in=PhotoReason.values)
                | (~Q(state=PhotoState.REFUSED) & Q(reason_code="")),
                name="photo_reason_if_refused",
            ),
            models.CheckConstraint(
                condition=Q(width_px__gte=1, height_px__gte=1, size_bytes__gte=1),
                name="photo_not_empty",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.pit}"

    @property
    def storage_name(self) -> str:
        """Return where the private store keeps the file."""
        key = self.public_key.hex
        return f"{FOLDER}/{key[:2]}/{key}.jpg"
