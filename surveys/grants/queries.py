"""What a grant covers, and who saw exact places."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet

from surveys.audit.models import AuditEntry
from surveys.grants.models import ResearchGrant
from surveys.people.models import Consent, ConsentPurpose, Group, Participant
from surveys.people.operations import token_hash
from surveys.visits.models import Visit, VisitState

READ = "exact place read"


@dataclass(frozen=True)
class ExactRead:
    """Who saw what of a participant's, when and for what."""

    at: datetime
    researcher: str
    institution: str
    purpose: str
    fields: tuple[str, ...]
    visit: str
    site: str


def grant_of(secret: str, at: datetime) -> ResearchGrant | None:
    """Return the grant in force of a token, or nothing."""
    return ResearchGrant.objects.in_force(at).filter(sha256=token_hash(secret)).first()


def grants_for(group: Group) -> QuerySet[ResearchGrant]:
    """Return the grants that name a group, the newest first."""
    return group.grants.order_by("-id").prefetch_related("vetoes")


def covered_visits(grant: ResearchGrant, ids: Collection[UUID], at: datetime) -> QuerySet[Visit]:
    """Return those of the visits that a grant lets be seen.

    Its group agreed, and whoever recorded it and whose site it is let vetted researchers see
    exact places and the record be published at all.
    """
    willing = Participant.objects.filter(
        pk__in=Consent.objects.in_force(ConsentPurpose.EXACT_PLACE, at).values("participant")
    ).filter(pk__in=Consent.objects.in_force(ConsentPurpose.PUBLISH, at).values("participant"))
    groups = grant.groups.exclude(pk__in=grant.vetoes.values("group"))
    return (
        Visit.objects.filter(
            public_id__in=ids,
            state=VisitState.ACCEPTED,
            group__in=groups,
            participant__in=willing,
            site__owner__in=willing,
        )
        .select_related("group", "participant__group", "site__owner__group")
        .order_by("public_id")
    )


def exact_reads_of(participant: Participant) -> list[ExactRead]:
    """Return who saw exact places of a participant, the newest first."""
    key = f"{participant.group.code}/{participant.code}"
    entries = AuditEntry.objects.filter(
        action=READ, subject_kind="participant", subject_key=key
    ).order_by("-id")
    grants = {
        str(grant.key): grant
        for grant in ResearchGrant.objects.filter(
            key__in={entry.detail["grant"] for entry in entries}
        )
    }
    return [_read(entry, grants[entry.detail["grant"]]) for entry in entries]


def _read(entry: AuditEntry, grant: ResearchGrant) -> ExactRead:
    return ExactRead(
        at=entry.at,
        researcher=grant.researcher,
        institution=grant.institution,
        purpose=grant.purpose,
        fields=tuple(entry.detail["fields"]),
        visit=entry.detail["visit"],
        site=entry.detail["site"],
    )
