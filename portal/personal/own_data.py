"""A participant's own data as it is held, as one JSON text written piece by piece."""

import json
from collections.abc import Iterator
from dataclasses import asdict
from datetime import datetime
from itertools import groupby
from typing import Any

from django.conf import settings
from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Prefetch

from surveys.checks.queries import concerns
from surveys.moderation.queries import review_texts
from surveys.moderation.reasons import REASONS
from surveys.people.models import Consent, Participant
from surveys.sites.models import Site
from surveys.visits.models import Count, Determination, Phase, Pit, Visit

VISITS_AT_ONCE = 50
ABOUT = (
    "Your records as we hold them, with exact places: keep this file to yourself. Every revision "
    "of a visit is here. A place that belongs to somebody else is named by its code only, and "
    "reviewers are not named."
)


def own_data(participant: Participant, *, at: datetime) -> Iterator[str]:
    """Yield the pieces of one JSON object; memory doesn't grow with the number of visits."""
    head = _text(
        {
            "about": ABOUT,
            "made_at": at,
            "participant": _person(participant),
            "consents": [_consent(one) for one in participant.consents.order_by("id")],
            "places": [_place(site) for site in participant.sites.order_by("id")],
        }
    )
    yield f'{head[:-1]}, "visits": ['
    pits = Pit.objects.order_by("revision", "number").prefetch_related(
        Prefetch("phases", queryset=Phase.objects.order_by("id")),
        "phases__counts__determinations",
        "soil",
    )
    visits = participant.visits.select_related("protocol", "site").prefetch_related(
        Prefetch("pits", queryset=pits), "appeals"
    )
    between = "\n"
    for visit in visits.order_by("id").iterator(chunk_size=VISITS_AT_ONCE):
        yield between + _text(_visit(visit))
        between = ",\n"
    yield "\n]}\n"


def _text(value: dict[str, Any]) -> str:
    return json.dumps(value, cls=DjangoJSONEncoder, ensure_ascii=False)


def _person(participant: Participant) -> dict[str, Any]:
    return {
        "group": participant.group.name,
        "code": participant.code,
        "household": participant.household,
        "name": participant.name,
        "contact": participant.contact,
        "shown_name": participant.shown_name,
        "orcid": participant.orcid,
        "born_on": participant.born_on,
        "of_age_by": participant.of_age_by,
        "joined_at": participant.joined_at,
    }


def _consent(consent: Consent) -> dict[str, Any]:
    return {
        "purpose": consent.purpose,
        "decision": consent.decision,
        "given_by": consent.given_by,
        "giver": consent.giver,
        "statement_version": consent.statement_version,
        "language": consent.language,
        "evidence": consent.evidence,
        "evidence_ref": consent.evidence_ref,
        "decided_at": consent.decided_at,
        "ends_on": consent.ends_on,
        "receipt_sha256": consent.receipt_sha256,
    }


def _place(site: Site) -> dict[str, Any]:
    return {
        "code": site.code,
        "kind": site.place_kind,
        "shown_as": site.place_detail,
        "latitude": float(site.latitude),
        "longitude": float(site.longitude),
        "uncertainty_m": site.uncertainty_m,
    }


def _visit(visit: Visit) -> dict[str, Any]:
    address = f"{settings.PUBLIC_URL}/id/visit/{visit.public_id}" if visit.public_id else None
    return {
        "reference": visit.client_ref,
        "state": visit.state,
        "revision": visit.revision,
        "protocol": str(visit.protocol),
        "place": visit.site.code,
        "visited_on": visit.visited_on,
        "people_digging": visit.people_digging,
        "note": visit.note,
        "sent_at": visit.sent_at,
        "received_at": visit.received_at,
        "public_address": address,
        "revisions": [
            {"revision": revision, "pits": [_pit(pit) for pit in pits]}
            for revision, pits in groupby(visit.pits.all(), key=lambda pit: pit.revision)
        ],
        "open_questions": [asdict(concern) for concern in concerns(visit)],
        "decisions": [asdict(text) for text in review_texts(visit)],
        "appeals": [
            {"text": appeal.text, "raised_at": appeal.raised_at} for appeal in visit.appeals.all()
        ],
    }


def _pit(pit: Pit) -> dict[str, Any]:
    return {
        "number": pit.number,
        "habitat": pit.habitat,
        "management": "not known" if pit.management_unknown else pit.management,
        "width_cm": float(pit.width_cm),
        "length_cm": float(pit.length_cm),
        "depth_cm": float(pit.depth_cm),
        "sorting_minutes": pit.sorting_minutes,
        "sorted_to_end": pit.sorted_to_end,
        "total": pit.total,
        "latitude": None if pit.latitude is None else float(pit.latitude),
        "longitude": None if pit.longitude is None else float(pit.longitude),
        "steps": [_phase(phase) for phase in pit.phases.all()],
        "soil": [
            {"name": soil.name, "state": soil.state, "value": soil.value, "method": soil.method}
            for soil in pit.soil.all()
        ],
    }


def _phase(phase: Phase) -> dict[str, Any]:
    return {
        "kind": phase.kind,
        "state": phase.state,
        "agent": phase.agent,
        "volume_ml": phase.volume_ml,
        "wait_min": phase.wait_min,
        "counts": [_count(count) for count in phase.counts.all()],
    }


def _count(count: Count) -> dict[str, Any]:
    return {
        "group": count.group,
        "stage": count.stage,
        "taxon": count.taxon,
        "state": count.state,
        "number": count.number,
        "counted_again": [_determination(later) for later in count.determinations.all()],
    }


def _determination(later: Determination) -> dict[str, Any]:
    reason = REASONS.get(later.reason_code)
    return {
        "number": later.number,
        "determined_at": later.determined_at,
        "reason_code": later.reason_code,
        "reason": reason.text if reason else "",
    }
