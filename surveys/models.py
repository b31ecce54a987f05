"""Gather the topics' models for Django; nothing is defined here."""

from surveys.audit.models import AuditEntry
from surveys.calibration.models import CalibrationLine, CalibrationTrial
from surveys.checks.models import CheckOutcome
from surveys.intake.models import IdempotentAnswer, Submission, SubmissionItem
from surveys.moderation.models import Appeal, Review
from surveys.people.models import (
    AccessToken,
    Consent,
    Group,
    Participant,
    PersonalLink,
    Reviewer,
)
from surveys.photos.models import Photo
from surveys.protocol.models import ProtocolVersion
from surveys.sites.models import Site
from surveys.visits.models import Count, Determination, Phase, Pit, SoilObservation, Visit

__all__ = [
    "AccessToken",
    "Appeal",
    "AuditEntry",
    "CalibrationLine",
    "CalibrationTrial",
    "CheckOutcome",
    "Consent",
    "Count",
    "Determination",
    "Group",
    "IdempotentAnswer",
    "Participant",
    "PersonalLink",
    "Phase",
    "Photo",
    "Pit",
    "ProtocolVersion",
    "Review",
    "Reviewer",
    "Site",
    "SoilObservation",
    "Submission",
    "SubmissionItem",
    "Visit",
]
