"""Rows of the occurrence file: one for each line that was counted, a zero being an absence."""

import json
from collections.abc import Iterator
from typing import Any

from portal.archive import addresses
from portal.archive.edition import Edition
from portal.archive.reading import VisitTree
from portal.archive.taxa import KINGDOM, Identification, label
from portal.archive.terms import OCCURRENCE_STATUS, VERIFICATION_STATUSES
from portal.records.models import PublishedCount

Row = dict[str, Any]


class UnknownVerificationError(ValueError):
    """A published row claims a state of verification that has no agreed word."""


def occurrence_rows(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    """Yield the occurrences of a visit; what was not looked for or not entered has none."""
    for count in counted(visit):
        yield occurrence_row(edition, count)


def counted(visit: VisitTree) -> Iterator[PublishedCount]:
    """Yield the lines of a visit that were counted, zeros included."""
    for pit in visit.pits:
        for step in pit.steps:
            yield from (count for count in step.counts if count.state == "counted")


def identification_of(edition: Edition, count: PublishedCount) -> Identification:
    """Return what the animals of a count were determined as."""
    return edition.identification(count.protocol, count.taxon, count.coarse_taxon)


def occurrence_row(edition: Edition, count: PublishedCount) -> Row:
    """Return the terms of one counted line."""
    event = addresses.permanent("phase", count.phase_id)
    found, not_found = OCCURRENCE_STATUS[edition.profile]
    return _names(edition, count) | {
        "coreid": event,
        "occurrenceID": addresses.permanent("occurrence", count.id),
        "eventID": event,
        "basisOfRecord": "HumanObservation",
        "occurrenceStatus": found if count.number else not_found,
        "individualCount": count.number,
        "organismQuantity": count.number,
        "organismQuantityType": "individuals",
        "lifeStage": count.stage,
        "identificationVerificationStatus": _verification(count.verification),
        "identifiedBy": edition.recorders,
        "recordedBy": edition.recorders,
        "dynamicProperties": _properties(count.group),
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


def _properties(group: str) -> str:
    if group == "unassigned":
        return ""
    return json.dumps({"ecologicalGroup": group}, sort_keys=True)
