"""What becomes of an erased person's rows in the closed store.

Either they are removed, or the science in them is kept with nothing left that leads to a person:
no code, reference, note, public id, or place finer than a tenth of a degree. Instants go too: the
trail has the same ones, beside the code.
"""

import secrets
from datetime import UTC, datetime
from decimal import Decimal

from django.db.models import Q, QuerySet

from surveys.calibration.models import CalibrationTrial
from surveys.checks.models import CheckOutcome, DoublePair
from surveys.moderation.models import Appeal, Review, ReviewClaim
from surveys.people.models import Consent, Participant, PersonalLink, Reviewer
from surveys.sites.models import ExactPermission, Site
from surveys.uploads.models import UploadFault
from surveys.visits.models import Count, Determination, Phase, Visit

TENTH = Decimal("0.1")
# From the middle of a square of a tenth of a degree to its corner, at the equator; less elsewhere.
TENTH_UNCERTAINTY_M = 8000.0
NO_INSTANT = datetime(1970, 1, 1, tzinfo=UTC)
_KEY_BYTES = 8


def remove_rows(person: Participant) -> None:
    """Remove a person with all visits, trials, and the places where nobody else dug."""
    _forget_around(person)
    person.visits.all().delete()
    _trials(person).delete()
    for site in _left_alone(person):
        site.delete()
    person.delete()


def unlink_rows(person: Participant) -> None:
    """Keep a person's pits and counts, and nothing that leads from them to a person."""
    _forget_around(person)
    for site in _left_alone(person):
        _blur(site)
    for visit in person.visits.all():
        _unname_visit(visit)
    for trial in _trials(person):
        trial.client_ref, trial.recorded_at = _nameless(), NO_INSTANT
        trial.save(update_fields=["client_ref", "recorded_at"])
    _unname_person(person)


def _forget_around(person: Participant) -> None:
    """Remove answers, links, permissions, and the words that were written about the visits."""
    visits = person.visits.all()
    refs = list(visits.values_list("client_ref", flat=True))
    Appeal.objects.filter(visit__in=visits).delete()  # they hold reviews fast
    Review.objects.filter(visit__in=visits).delete()
    CheckOutcome.objects.filter(visit__in=visits).delete()
    ReviewClaim.objects.filter(visit__in=visits).delete()
    DoublePair.objects.filter(Q(first__in=visits) | Q(second__in=visits)).delete()
    UploadFault.objects.filter(job__group=person.group, record__in=refs).delete()
    Reviewer.objects.filter(participant=person).update(participant=None)
    for rows in (Consent.objects, PersonalLink.objects, ExactPermission.objects):
        rows.filter(participant=person).delete()


def _left_alone(person: Participant) -> list[Site]:
    """Return the person's places where nobody else dug; others go to somebody who did."""
    alone = []
    for site in person.sites.all():
        other = site.visits.exclude(participant=person).order_by("id").first()
        if other is None:
            alone.append(site)
        else:
            site.owner = other.participant
            site.save(update_fields=["owner"])
    return alone


def _blur(site: Site) -> None:
    site.exact_permissions.all().delete()
    site.code = _nameless()
    site.latitude, site.longitude = (
        degrees.quantize(TENTH) for degrees in (site.latitude, site.longitude)
    )
    site.uncertainty_m, site.place_detail_at, site.public_id = TENTH_UNCERTAINTY_M, None, None
    site.save()


def _unname_visit(visit: Visit) -> None:
    visit.client_ref, visit.payload_sha256 = _nameless(), ""
    visit.note, visit.note_approved, visit.sent_at = "", False, None
    visit.received_at, visit.public_id = NO_INSTANT, None
    visit.save()
    visit.pits.update(latitude=None, longitude=None, public_id=None)
    Phase.objects.filter(pit__visit=visit).update(public_id=None)
    Count.objects.filter(phase__pit__visit=visit).update(public_id=None)
    determinations = Determination.objects.filter(count__phase__pit__visit=visit)
    determinations.update(determined_at=NO_INSTANT)


def _unname_person(person: Participant) -> None:
    person.code = person.household = _nameless()
    person.name = person.contact = person.shown_name = person.orcid = ""
    person.born_on, person.of_age_by, person.joined_at = None, None, NO_INSTANT
    person.save()


def _trials(person: Participant) -> QuerySet[CalibrationTrial]:
    return CalibrationTrial.objects.filter(Q(observer=person) | Q(first_observer=person))


def _nameless() -> str:
    return f"erased-{secrets.token_hex(_KEY_BYTES)}"
