"""Gather the topics' models for Django; nothing is defined here."""

from surveys.audit.models import AuditEntry
from surveys.calibration.models import CalibrationLine, CalibrationTrial
from surveys.checks.models import CheckOutcome, DoublePair
from surveys.grants.models import GrantVeto, ResearchGrant
from surveys.intake.models import IdempotentAnswer, Submission, SubmissionItem
from surveys.moderation.models import Appeal, Review, ReviewClaim
from surveys.people.models import (
    AccessToken,
    Consent,
    ConsentStatement,
    Group,
    Participant,
    PersonalLink,
    Reviewer,
)
from surveys.photos.models import Photo
from surveys.protocol.models import CheckSetting, ProtocolVersion, TaxonSensitivity
from surveys.sites.models import ExactPermission, Site
from surveys.uploads.models import UploadFault, UploadJob
from surveys.visits.models import Count, Determination, Phase, Pit, SoilObservation, Visit

__all__ = [
    "AccessToken",
    "Appeal",
    "AuditEntry",
    "CalibrationLine",
    "CalibrationTrial",
    "CheckOutcome",
    "CheckSetting",
    "Consent",
    "ConsentStatement",
    "Count",
    "Determination",
    "DoublePair",
    "ExactPermission",
    "GrantVeto",
    "Group",
    "IdempotentAnswer",
    "Participant",
    "PersonalLink",
    "Phase",
    "Photo",
    "Pit",
    "ProtocolVersion",
    "ResearchGrant",
    "Review",
    "ReviewClaim",
    "Reviewer",
    "Site",
    "SoilObservation",
    "Submission",
    "SubmissionItem",
    "TaxonSensitivity",
    "UploadFault",
    "UploadJob",
    "Visit",
]
