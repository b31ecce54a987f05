"""When a consent to photos ends, its photos go with it, whichever way the answer came.

A receiver, because consent is recorded in a lower room that may not know of photos, and no way
of ending it may forget the files.
"""

from typing import Any

from django.db import transaction
from django.db.models.signals import post_save
from django.dispatch import receiver
from django.utils import timezone

from surveys.people.models import Consent, ConsentDecision, ConsentPurpose
from surveys.photos.operations import hold_photos_of, remove_without_consent


@receiver(post_save, sender=Consent, dispatch_uid="surveys.photos.consent_answered")
@transaction.atomic
def consent_answered(*, instance: Consent, **_: Any) -> None:
    """Remove a person's photos in the transaction that stores their no."""
    if instance.purpose == ConsentPurpose.PHOTOS and instance.decision != ConsentDecision.GIVEN:
        hold_photos_of(instance.participant)
        remove_without_consent(
            participant=instance.participant,
            by=f"consent of {instance.given_by}",
            at=timezone.now(),
        )
