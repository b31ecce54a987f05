"""A participant's own data as it is held, as one JSON text written piece by piece."""

import json
from collections.abc import Iterator
from dataclasses import asdict
from datetime import datetime
from itertools import groupby
from typing import Any

from django.conf import settings
from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Prefetch, QuerySet

from surveys.calibration.models import CalibrationLine, CalibrationTrial
from surveys.checks.queries import concerns
from surveys.moderation.queries import review_texts
from surveys.moderation.reasons import REASONS
from surveys.people.models import Consent, Participant
from surveys.photos.models import Photo
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
    head = as_text(
        {
            "about": ABOUT,
            "made_at": at,
            "participant": person_data(participant),
            "consents": [consent_data(one) for one in participant.consents.order_by("id")],
            "places": [place_data(site) for site in participant.sites.order_by("id")],
            "trials": _trials(participant),
        }
    )
    yield f'{head[:-1]}, "visits": ['
    pits = Pit.objects.order_by("revision", "number").prefetch_related(
        Prefetch("phases", queryset=Phase.objects.order_by("id")),
        "phases__counts__determinations",
        "soil",
        "photos",
    )
    visits = participant.visits.select_related("protocol", "site").prefetch_related(
        Prefetch("pits", queryset=pits), "appeals"
    )
    between = "\n"
    for visit in visits.order_by("id").iterator(chunk_size=VISITS_AT_ONCE):
        yield between + as_text(visit_data(visit))
        between = ",\n"
    yield "\n]}\n"


def with_history(visits: QuerySet[Visit]) -> QuerySet[Visit]:
    """Load every revision of visits along with them."""
    pits = Pit.objects.order_by("revision", "number").prefetch_related(
        Prefetch("phases", queryset=Phase.objects.order_by("id")),
        "phases__counts__determinations",
        "soil",
    )
    return visits.select_related("protocol", "site", "participant").prefetch_related(
        Prefetch("pits", queryset=pits), "appeals"
    )


def as_text(value: dict[str, Any]) -> str:
    """Return a JSON text."""
    return json.dumps(value, cls=DjangoJSONEncoder, ensure_ascii=False)


def person_data(participant: Participant) -> dict[str, Any]:
    """Return what is held of a person."""
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


def consent_data(consent: Consent) -> dict[str, Any]:
    """Return one answer, as it was given."""
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


def place_data(site: Site) -> dict[str, Any]:
    """Return a place, exactly."""
    return {
        "code": site.code,
        "kind": site.place_kind,
        "shown_as": site.place_detail,
        "latitude": float(site.latitude),
        "longitude": float(site.longitude),
        "uncertainty_m": site.uncertainty_m,
    }


def visit_data(visit: Visit) -> dict[str, Any]:
    """Return a visit of :func:`with_history` with all of its revisions."""
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
        "photos": [_photo(photo) for photo in pit.photos.all()],
    }


def _photo(photo: Photo) -> dict[str, Any]:
    """Return what is kept of a photo; of a refused one the picture itself is gone."""
    return {
        "kind": photo.kind,
        "state": photo.state,
        "reason": photo.get_reason_code_display(),
        "received_at": photo.received_at,
        "decided_at": photo.decided_at,
        "width_px": photo.width_px,
        "height_px": photo.height_px,
        "size_bytes": photo.size_bytes,
        "sha256": photo.sha256,
    }


def _trials(participant: Participant) -> list[dict[str, Any]]:
    """Return trials of the measuring with the person's own numbers, not the other observer's."""
    as_second = [
        _trial(trial, [(line, line.observed) for line in trial.lines.all()])
        for trial in participant.trials.prefetch_related("lines").select_related("protocol")
    ]
    as_first = [
        _trial(trial, [(line, line.known) for line in trial.lines.all()])
        for trial in participant.trials_as_first.prefetch_related("lines").select_related(
            "protocol"
        )
    ]
    return as_second + as_first


def _trial(trial: CalibrationTrial, own: list[tuple[CalibrationLine, int]]) -> dict[str, Any]:
    return {
        "reference": trial.client_ref,
        "kind": trial.kind,
        "protocol": str(trial.protocol),
        "step": trial.step,
        "held_on": trial.held_on,
        "recorded_at": trial.recorded_at,
        "counts": [
            {"group": line.group, "stage": line.stage, "number": number} for line, number in own
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
