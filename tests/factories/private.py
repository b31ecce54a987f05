"""The private side: one valid row of each table, and what a group sends."""

import copy
import json
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from factory import LazyAttribute, LazyFunction, SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from surveys.audit.models import AuditEntry
from surveys.checks.models import CheckOutcome, DoublePair
from surveys.grants.models import GrantVeto, ResearchGrant
from surveys.intake.idempotency import Answer
from surveys.intake.models import IdempotentAnswer, Submission, SubmissionItem
from surveys.intake.operations import submit
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
from surveys.people.operations import issue_token
from surveys.people.wording import library as statements
from surveys.people.wording import load_statement
from surveys.photos.models import Photo
from surveys.protocol.definition import library
from surveys.protocol.models import CheckSetting, ProtocolVersion, TaxonSensitivity
from surveys.protocol.operations import load_protocol
from surveys.sites.models import ExactPermission, Site
from surveys.uploads.models import UploadFault, UploadJob
from surveys.visits.models import Count, Determination, Phase, Pit, SoilObservation, Visit

NOW = datetime(2025, 4, 14, 9, tzinfo=UTC)
VISITED_ON = date(2025, 4, 12)
LINES = (
    ("epigeic", "adult"),
    ("endogeic", "adult"),
    ("anecic", "adult"),
    ("unassigned", "juvenile"),
)
Payload = dict[str, Any]


class GroupFactory(DjangoModelFactory[Group]):
    """A group with a region and no meeting point."""

    class Meta:
        model = Group

    code = Sequence(lambda n: f"G{n:02}")
    name = "Example diggers"
    west = Decimal("-0.90")
    south = Decimal("52.60")
    east = Decimal("-0.30")
    north = Decimal("52.95")


class ParticipantFactory(DjangoModelFactory[Participant]):
    """A participant of a household of their own."""

    class Meta:
        model = Participant

    group: Any = SubFactory(GroupFactory)
    code = Sequence(lambda n: f"P{n:02}")
    household = LazyAttribute(lambda row: f"household of {row.code}")
    joined_at = NOW - timedelta(days=60)


class ConsentFactory(DjangoModelFactory[Consent]):
    """A consent to publish, given by the participant."""

    class Meta:
        model = Consent

    participant = SubFactory(ParticipantFactory)
    purpose = "publish"
    decision = "given"
    given_by = "self"
    statement_version = "2025-01"
    decided_at = NOW - timedelta(days=60)


class ConsentStatementFactory(DjangoModelFactory[ConsentStatement]):
    """The first version of what is asked about publication."""

    class Meta:
        model = ConsentStatement

    purpose = "publish"
    version = "1"
    meaning = 1
    valid_from = date(2024, 8, 1)
    older_end_on = SelfAttribute("valid_from")
    texts = LazyFunction(lambda: {"en": {"question": "May we?"}})
    sha256 = "0" * 64
    loaded_at = NOW


class ReviewerFactory(DjangoModelFactory[Reviewer]):
    """A reviewer who records nothing."""

    class Meta:
        model = Reviewer

    code = Sequence(lambda n: f"R{n:02}")


class AccessTokenFactory(DjangoModelFactory[AccessToken]):
    """A token row of a group; :func:`token_of` makes one whose secret is known."""

    class Meta:
        model = AccessToken

    group = SubFactory(GroupFactory)
    name = "laptop"
    prefix = "dri000000"
    sha256 = Sequence(lambda n: f"{n:064x}")
    scopes = LazyFunction(lambda: ["read", "submit"])
    created_at = NOW
    expires_at = NOW + timedelta(days=365)


class PersonalLinkFactory(DjangoModelFactory[PersonalLink]):
    """A link row whose token nobody knows; ``issue_link`` makes one that opens."""

    class Meta:
        model = PersonalLink

    participant = SubFactory(ParticipantFactory)
    nonce_sha256 = Sequence(lambda n: f"{n:064x}")
    issued_at = NOW
    expires_at = NOW + timedelta(days=7)


class ProtocolVersionFactory(DjangoModelFactory[ProtocolVersion]):
    """A row of an empty protocol; :func:`loaded` gives one of the library."""

    class Meta:
        model = ProtocolVersion

    key = "empty-pit"
    version = Sequence(lambda n: str(n + 1))
    valid_from = date(2025, 3, 1)
    definition = LazyFunction(dict)
    sha256 = "0" * 64
    loaded_at = NOW


class SiteFactory(DjangoModelFactory[Site]):
    """A garden in the group's region."""

    class Meta:
        model = Site

    owner = SubFactory(ParticipantFactory)
    group = SelfAttribute("owner.group")
    code = Sequence(lambda n: f"S{n:02}")
    place_kind = "private_garden"
    latitude = Decimal("52.8812345")
    longitude = Decimal("-0.7234567")
    uncertainty_m = 5.0


class ExactPermissionFactory(DjangoModelFactory[ExactPermission]):
    """The owner of a field lets it be shown where it is for a year."""

    class Meta:
        model = ExactPermission

    site = SubFactory(SiteFactory, place_kind="farm")
    participant = SelfAttribute("site.owner")
    starts_on = NOW.date()
    ends_on = NOW.date() + timedelta(days=365)
    evidence = "paper_form"
    given_at = NOW


class TaxonSensitivityFactory(DjangoModelFactory[TaxonSensitivity]):
    """A taxon that collectors seek."""

    class Meta:
        model = TaxonSensitivity

    scientific_name = "Lumbricus rarus"
    category = 2
    author = "reviewer S1"
    reason = "Collectors."
    made_at = NOW


class ResearchGrantFactory(DjangoModelFactory[ResearchGrant]):
    """A grant that names no group; nobody knows its token."""

    class Meta:
        model = ResearchGrant

    researcher = "Ada Invented"
    institution = "Institute of Nowhere"
    contact = "ada@example.org"
    purpose = "Soil maps."
    fields = LazyFunction(lambda: ["exact_place", "day"])
    made_at = NOW
    author = "reviewer S1"
    starts_on = NOW.date()
    ends_on = date(2999, 1, 1)
    prefix = "drv000000"
    sha256 = Sequence(lambda n: f"{n:064x}")


class GrantVetoFactory(DjangoModelFactory[GrantVeto]):
    """A group said no."""

    class Meta:
        model = GrantVeto

    grant = SubFactory(ResearchGrantFactory)
    group = SubFactory(GroupFactory)
    made_at = NOW


class VisitFactory(DjangoModelFactory[Visit]):
    """A visit in review, without pits."""

    class Meta:
        model = Visit

    participant = SubFactory(ParticipantFactory)
    group = SelfAttribute("participant.group")
    site = SubFactory(SiteFactory, owner=SelfAttribute("..participant"))
    client_ref = Sequence(lambda n: f"V{n:02}")
    protocol = LazyFunction(lambda: loaded("contrast-pit/2"))
    visited_on = VISITED_ON
    received_at = NOW
    payload_sha256 = "0" * 64


class PitFactory(DjangoModelFactory[Pit]):
    """A pit without steps or soil."""

    class Meta:
        model = Pit

    visit = SubFactory(VisitFactory)
    revision = SelfAttribute("visit.revision")
    number = 1
    habitat = "lawn"
    width_cm = Decimal(20)
    length_cm = Decimal(20)
    depth_cm = Decimal(20)


class PhotoFactory(DjangoModelFactory[Photo]):
    """A photo that waits; ``keep_photo`` makes one with a file."""

    class Meta:
        model = Photo

    public_key = LazyFunction(uuid4)
    pit: Any = SubFactory(PitFactory)
    kind = "soil"
    consent = SubFactory(
        ConsentFactory, purpose="photos", participant=SelfAttribute("..pit.visit.participant")
    )
    sha256 = Sequence(lambda n: f"{n:064x}")
    size_bytes = 900
    width_px = 60
    height_px = 40
    received_at = NOW


class PhaseFactory(DjangoModelFactory[Phase]):
    """Hand sorting that was done."""

    class Meta:
        model = Phase

    pit = SubFactory(PitFactory)
    kind = "hand_sort"
    state = "done"


class CountFactory(DjangoModelFactory[Count]):
    """Three endogeic adults."""

    class Meta:
        model = Count

    phase = SubFactory(PhaseFactory)
    group = "endogeic"
    stage = "adult"
    state = "counted"
    number = 3


class DeterminationFactory(DjangoModelFactory[Determination]):
    """The first later count of a line."""

    class Meta:
        model = Determination

    count = SubFactory(CountFactory)
    sequence = 1
    number = 2
    determined_by = SubFactory(ReviewerFactory)
    determined_at = NOW
    reason_code = "saddle-shows-stage"


class SoilObservationFactory(DjangoModelFactory[SoilObservation]):
    """A squeeze class."""

    class Meta:
        model = SoilObservation

    pit = SubFactory(PitFactory)
    name = "moisture"
    state = "counted"
    value = "moist"
    method = "squeeze"


class SubmissionFactory(DjangoModelFactory[Submission]):
    """A batch as received, without items."""

    class Meta:
        model = Submission

    group = SubFactory(GroupFactory)
    public_key = LazyFunction(uuid4)
    token_name = "laptop"  # noqa: S105 -- what the group calls its token
    received_at = NOW
    body = b"{}"
    body_sha256 = "0" * 64


class SubmissionItemFactory(DjangoModelFactory[SubmissionItem]):
    """The first visit of a batch, not stored."""

    class Meta:
        model = SubmissionItem

    submission = SubFactory(SubmissionFactory)
    position = 0
    outcome = "rejected"


class UploadJobFactory(DjangoModelFactory[UploadJob]):
    """A file that waits for a worker."""

    class Meta:
        model = UploadJob

    group = SubFactory(GroupFactory)
    public_key = LazyFunction(uuid4)
    token_name = "laptop"  # noqa: S105 -- what the group calls its token
    sha256 = "0" * 64
    size_bytes = 1
    received_at = NOW


class UploadFaultFactory(DjangoModelFactory[UploadFault]):
    """A word that nobody knows, in the first row below the header."""

    class Meta:
        model = UploadFault

    job = SubFactory(UploadJobFactory)
    row = 2
    column = "pit.habitat"
    severity = "error"
    code = "word-unknown"
    message = "This word is not in the vocabulary."
    received = "lawnn"


class IdempotentAnswerFactory(DjangoModelFactory[IdempotentAnswer]):
    """An answer given."""

    class Meta:
        model = IdempotentAnswer

    group = SubFactory(GroupFactory)
    key = "key-1"
    request_sha256 = "0" * 64
    status = 200
    answer = LazyFunction(dict)
    created_at = NOW


class CheckOutcomeFactory(DjangoModelFactory[CheckOutcome]):
    """A check of the visit's newest revision that found nothing wrong."""

    class Meta:
        model = CheckOutcome

    visit = SubFactory(VisitFactory)
    revision = SelfAttribute("visit.revision")
    label = "VALIDATION_COUNTS_LIKELY"
    version = "2025-07-01"
    source = "programme"
    status = "RUN_HAS_RESULT"
    result = "COMPLIANT"
    comment = "The number of animals is usual for such pits."
    run_at = NOW


class ReviewFactory(DjangoModelFactory[Review]):
    """A decision to accept."""

    class Meta:
        model = Review

    visit = SubFactory(VisitFactory)
    revision = SelfAttribute("visit.revision")
    reviewer = SubFactory(ReviewerFactory)
    decision = "accepted"
    decided_at = NOW
    round = LazyAttribute(lambda row: row.visit.reviews.count() + 1)
    look = LazyAttribute(lambda row: row.visit.reviews.filter(round=row.round).count() + 1)


class ReviewClaimFactory(DjangoModelFactory[ReviewClaim]):
    """A claim for half an hour."""

    class Meta:
        model = ReviewClaim

    visit = SubFactory(VisitFactory)
    reviewer = SubFactory(ReviewerFactory)
    claimed_at = NOW
    expires_at = NOW + timedelta(minutes=30)


class CheckSettingFactory(DjangoModelFactory[CheckSetting]):
    """A limit that holds in place of that of a kit."""

    class Meta:
        model = CheckSetting

    protocol = LazyFunction(lambda: loaded("contrast-pit/2"))
    parameters = LazyFunction(lambda: {"late_after_days": 90})
    author = "reviewer S1"
    reason = "Slow post."
    made_at = NOW


class DoublePairFactory(DjangoModelFactory[DoublePair]):
    """Two visits that nobody has judged."""

    class Meta:
        model = DoublePair

    first = SubFactory(VisitFactory)
    second = SubFactory(VisitFactory)
    found_at = NOW


class AppealFactory(DjangoModelFactory[Appeal]):
    """An appeal against a decision."""

    class Meta:
        model = Appeal

    against = SubFactory(ReviewFactory)
    visit = SelfAttribute("against.visit")
    text = "The soil was sorted to the end."
    raised_at = NOW


class AuditEntryFactory(DjangoModelFactory[AuditEntry]):
    """An entry outside the chain; the trail itself is written by ``record``."""

    class Meta:
        model = AuditEntry

    at = NOW
    actor = "office"
    action = "group registered"
    subject_kind = "group"
    subject_key = "G01"
    entry_hash = Sequence(lambda n: f"{n:064x}")


def loaded(name: str) -> ProtocolVersion:
    """Return a protocol version of the library, stored if it is not yet."""
    (protocol,) = [known for known in library() if known.name == name]
    return load_protocol(protocol, at=NOW)


def load_statements() -> None:
    """Store every consent statement that is not stored yet."""
    for statement in statements():
        load_statement(statement, at=NOW)


def sending_group(code: str = "QVD") -> Group:
    """Return a group with one consenting participant, ready to send for every protocol."""
    for protocol in library():
        load_protocol(protocol, at=NOW)
    load_statements()
    group: Group = GroupFactory.create(code=code)
    ConsentFactory.create(participant=ParticipantFactory.create(group=group, code="QVD-07"))
    return group


def token_of(holder: Group | Reviewer, *scopes: str) -> str:
    """Issue a token and return its secret."""
    _, secret = issue_token(holder=holder, name="laptop", scopes=scopes or ("read",), at=NOW)
    return secret


def counts_payload(*numbers: int | str | None) -> list[Payload]:
    """Return the lines of one step: epigeic, endogeic, anecic adults, juveniles."""
    return [
        {"group": group, "stage": stage, "number": number}
        for (group, stage), number in zip(LINES, numbers, strict=True)
    ]


def pit_payload(**changes: Any) -> Payload:
    """Return a pit of 9 animals, drenched as contrast-pit/2 says."""
    pit = {
        "habitat": "lawn",
        "management": ["mown"],
        "width_cm": 20,
        "length_cm": 20,
        "depth_cm": 20,
        "sorting_minutes": 16,
        "sorted_to_end": True,
        "total": 9,
        "phases": [
            {"kind": "hand_sort", "done": True, "counts": counts_payload(1, 3, 0, 4)},
            {
                "kind": "expellant",
                "done": True,
                "agent": "mustard water",
                "volume_ml": 500,
                "wait_min": 5,
                "counts": counts_payload(0, 0, 1, 0),
            },
        ],
        "soil": {"moisture": "moist", "texture": "loam"},
    }
    return pit | changes


def visit_payload(**changes: Any) -> Payload:
    """Return a visit under contrast-pit/2 in which no check finds anything to ask."""
    visit = {
        "client_ref": "QVD-S01",
        "protocol": "contrast-pit/2",
        "participant": "QVD-07",
        "site": {
            "code": "QVD-07-1",
            "latitude": 52.88123,
            "longitude": -0.72345,
            "uncertainty_m": 5.0,
            "place_kind": "private_garden",
        },
        "visited_on": VISITED_ON.isoformat(),
        "people_digging": 2,
        "note": "Many fine roots.",
        "pits": [pit_payload(), pit_payload(habitat="flower bed", management=["mulched"])],
    }
    return visit | changes


def put(payload: Payload, pointer: str, value: Any) -> Payload:
    """Return a copy of a payload with another value at a JSON Pointer (RFC 6901)."""
    made = copy.deepcopy(payload)
    place, step = _place(made, pointer)
    place[step] = value
    return made


def without(payload: Payload, pointer: str) -> Payload:
    """Return a copy of a payload without what stands at a JSON Pointer (RFC 6901)."""
    made = copy.deepcopy(payload)
    place, step = _place(made, pointer)
    del place[step]
    return made


def _place(payload: Any, pointer: str) -> tuple[Any, Any]:
    *steps, last = (
        step.replace("~1", "/").replace("~0", "~") for step in pointer.removeprefix("/").split("/")
    )
    for step in steps:
        payload = payload[int(step) if isinstance(payload, list) else step]
    return payload, int(last) if isinstance(payload, list) else last


def body_of(*visits: Any) -> bytes:
    """Return a batch as bytes."""
    return json.dumps({"visits": visits}).encode()


def send(group: Group, *visits: Any, **how: Any) -> Answer:
    """Send visits in one batch."""
    how = {"token_name": "laptop", "key": None, "at": NOW} | how
    return submit(group=group, body=body_of(*visits), **how)


def stored_visit(group: Group, payload: Payload | None = None) -> Visit:
    """Return a visit that the group sent.

    Raises
    ------
    ValueError
        If it was not stored, saying why.
    """
    payload = payload or visit_payload()
    answer = send(group, payload)
    if answer.status != 200:
        msg = f"not stored: {answer.body['errors']}"
        raise ValueError(msg)
    return group.visits.get(client_ref=payload["client_ref"])
