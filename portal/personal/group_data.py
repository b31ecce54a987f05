"""All data of a group as it is held, one JSON object a line; memory doesn't grow with it.

Each line says what it is by ``kind``; the last one counts the lines before it, so that a download
that was cut off is known as such.
"""

import base64
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.db.models import Model, QuerySet

from portal.personal.own_data import (
    as_text,
    consent_data,
    person_data,
    place_data,
    visit_data,
    with_history,
)
from surveys.calibration.models import CalibrationTrial
from surveys.checks.models import CheckOutcome
from surveys.intake.models import Submission
from surveys.people.models import Group
from surveys.people.queries import tokens_of
from surveys.photos.models import Photo
from surveys.sites.models import ExactPermission
from surveys.visits.models import Visit

ROWS_AT_ONCE = 50
ABOUT = (
    "All data of the group as held, with exact places and what people answered: keep this file "
    "safe. Every revision of a visit and what was sent, word for word, are here. Reviewers are "
    "not named, and tokens stand here without their secrets."
)


def group_data(group: Group, *, at: datetime) -> Iterator[str]:
    """Yield the lines of a group's data."""
    number = 0
    for line in _lines(group, at):
        number += 1
        yield as_text(line) + "\n"
    yield as_text({"kind": "end", "lines": number}) + "\n"


def _lines(group: Group, at: datetime) -> Iterator[dict[str, Any]]:
    yield {"kind": "group", "about": ABOUT, "made_at": at, **_group(group)}
    for person in _each(group.participants.order_by("id").prefetch_related("consents")):
        answers = [consent_data(one) for one in person.consents.order_by("id")]
        yield {"kind": "participant", **person_data(person), "consents": answers}
    for site in _each(group.sites.order_by("id").select_related("owner")):
        permissions = [_permission(one) for one in site.exact_permissions.order_by("id")]
        place = place_data(site)
        yield {"place_kind": place.pop("kind"), **place} | {
            "kind": "place",
            "owner": site.owner.code,
            "exact_permissions": permissions,
        }
    for visit in _each(with_history(Visit.objects.filter(group=group)).order_by("id")):
        yield {"kind": "visit", "participant": visit.participant.code, **visit_data(visit)} | {
            "findings": [_finding(one) for one in visit.outcomes.order_by("id")]
        }
    photos = Photo.objects.filter(pit__visit__group=group).select_related("pit__visit")
    yield from (_photo(photo) for photo in _each(photos.order_by("id")))
    for trial in _each(group.trials.order_by("id").select_related("observer", "protocol")):
        yield _trial(trial)
    for submission in _each(group.submissions.order_by("id")):
        yield _submission(submission)
    for token in tokens_of(group):
        yield {
            "kind": "token",
            "name": token.name,
            "prefix": token.prefix,
            "scopes": token.scopes,
            "created_at": token.created_at,
            "expires_at": token.expires_at,
            "revoked_at": token.revoked_at,
            "last_used_at": token.last_used_at,
        }


def _each(rows: QuerySet[Any]) -> Iterator[Any]:
    return rows.iterator(chunk_size=ROWS_AT_ONCE)


def _group(group: Group) -> dict[str, Any]:
    return {
        "code": group.code,
        "name": group.name,
        "named_publicly": group.named_publicly,
        "is_of_children": group.is_of_children,
        "region": {
            side: float(getattr(group, side)) for side in ("west", "south", "east", "north")
        },
        "meeting_point": None
        if group.meeting_latitude is None or group.meeting_longitude is None
        else [float(group.meeting_latitude), float(group.meeting_longitude)],
    }


def _permission(permission: ExactPermission) -> dict[str, Any]:
    return {
        "starts_on": permission.starts_on,
        "ends_on": permission.ends_on,
        "evidence": permission.evidence,
        "given_at": permission.given_at,
        "ended_at": permission.ended_at,
    }


def _finding(outcome: CheckOutcome) -> dict[str, Any]:
    names = ("revision", "label", "version", "source", "status", "result", "proposal")
    return _some(outcome, *names, "comment", "pointer", "run_at")


def _photo(photo: Photo) -> dict[str, Any]:
    names = ("kind", "state", "sha256", "size_bytes", "width_px", "height_px", "received_at")
    shows = _some(photo, *names)
    return shows | {
        "kind": "photo",
        "shows": photo.kind,
        "id": str(photo.public_key),
        "visit": photo.pit.visit.client_ref,
        "pit": photo.pit.number,
    }


def _trial(trial: CalibrationTrial) -> dict[str, Any]:
    lines = [_some(line, "group", "stage", "known", "observed") for line in trial.lines.all()]
    return _some(trial, "client_ref", "step", "held_on", "recorded_at") | {
        "kind": "calibration",
        "trial": trial.kind,
        "protocol": str(trial.protocol),
        "observer": trial.observer.code,
        "first_observer": trial.first_observer.code if trial.first_observer else None,
        "lines": lines,
    }


def _submission(submission: Submission) -> dict[str, Any]:
    body = bytes(submission.body)
    items = submission.items.order_by("position")
    return {
        "kind": "submission",
        "id": str(submission.public_key),
        "token_name": submission.token_name,
        "received_at": submission.received_at,
        "body_sha256": submission.body_sha256,
        **_as_sent(body),
        "items": [_some(item, "position", "client_ref", "outcome", "faults") for item in items],
    }


def _as_sent(body: bytes) -> dict[str, str]:
    """Return what was sent as text, or in base64 if it is none."""
    try:
        return {"body": body.decode()}
    except UnicodeDecodeError:
        return {"body_base64": base64.b64encode(body).decode("ascii")}


def _some(row: Model, *names: str) -> dict[str, Any]:
    return {name: getattr(row, name) for name in names}
