"""Rows of the occurrence file: lines on which animals were found, and zeros that are absences."""

import json
from collections.abc import Iterator
from typing import Any

from portal.archive import addresses
from portal.archive.absence import occurrences_of
from portal.archive.edition import Edition, identification_of
from portal.archive.profiles import OCCURRENCE_STATUS
from portal.archive.reading import VisitTree
from portal.archive.taxa import KINGDOM, label
from portal.archive.terms import VERIFICATION_STATUSES
from portal.records.models import PublishedCount

Row = dict[str, Any]


class UnknownVerificationError(ValueError):
    """A published row claims a state of verification that has no agreed word."""


def occurrence_rows(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    """Yield the occurrences of a visit; what was not looked for or not entered has none."""
    for pit in visit.pits:
        for step in pit.steps:
            for count in occurrences_of(step):
                yield occurrence_row(edition, count)


def occurrence_row(edition: Edition, count: PublishedCount) -> Row:
    """Return the terms of one counted line."""
    event = addresses.permanent("phase", count.phase_id)
    found, not_found = OCCURRENCE_STATUS[edition.profile]
    return _names(edition, count) | {
        "coreid": event,
        "occurrenceID": addresses.permanent("occurrence", count.id),
        "eventID": event,
        "basisOfRecord": "HumanObservation",
        "occurrenceStatus": found if count.occurrence_status == "present" else not_found,
        "individualCount": count.number,
        "organismQuantity": count.number,
        "organismQuantityType": "individuals",
        "lifeStage": count.stage,
        "identificationVerificationStatus": _verification(count.verification),
        "identifiedBy": edition.recorders,
        "recordedBy": count.recorded_by or edition.recorders,
        "recordedByID": count.recorded_by_id,
        "dynamicProperties": properties_text(group_property(count)),
    }


def _names(edition: Edition, count: PublishedCount) -> Row:
    identification = identification_of(edition, count)
    lineage = identification.lineage
    return {
        "scientificName": identification.scientific_name,
        "taxonRank": identification.rank,
        "kingdom": KINGDOM,
        "phylum": lineage.phylum,
        "class": lineage.class_,
        "family": lineage.family,
        "genus": identification.genus,
        "vernacularName": lineage.animals,
        "verbatimIdentification": label(count.taxon, count.group, lineage),
    }


def _verification(status: str) -> str:
    if status not in VERIFICATION_STATUSES:
        message = f"Verification must be one of {', '.join(VERIFICATION_STATUSES)}, not {status!r}."
        raise UnknownVerificationError(message)
    return status


def group_property(count: PublishedCount) -> dict[str, Any]:
    """Return the ecological group of a line, if it has one, as a property."""
    return {} if count.group == "unassigned" else {"ecologicalGroup": count.group}


def properties_text(properties: dict[str, Any]) -> str:
    """Return properties as JSON with sorted keys, or nothing if there are none."""
    return json.dumps(properties, sort_keys=True, ensure_ascii=False) if properties else ""
