"""What the database refuses by itself, over every private table."""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from django.apps import apps
from django.contrib.auth import get_user_model
from django.db import IntegrityError, connection, models
from factory import SelfAttribute, SubFactory
from factory.django import DjangoModelFactory

from surveys import models as gathered
from tests.factories.calibration import CalibrationLineFactory, CalibrationTrialFactory
from tests.factories.private import (
    NOW,
    AccessTokenFactory,
    AppealFactory,
    AuditEntryFactory,
    CheckOutcomeFactory,
    CheckSettingFactory,
    ConsentFactory,
    ConsentStatementFactory,
    CountFactory,
    DeterminationFactory,
    DoublePairFactory,
    ExactPermissionFactory,
    GrantVetoFactory,
    GroupFactory,
    IdempotentAnswerFactory,
    ParticipantFactory,
    PersonalLinkFactory,
    PhaseFactory,
    PhotoFactory,
    PitFactory,
    ProtocolVersionFactory,
    ResearchGrantFactory,
    ReviewClaimFactory,
    ReviewerFactory,
    ReviewFactory,
    SiteFactory,
    SoilObservationFactory,
    SubmissionFactory,
    SubmissionItemFactory,
    TaxonSensitivityFactory,
    UploadFaultFactory,
    UploadJobFactory,
    VisitFactory,
)

Factory = type[DjangoModelFactory[Any]]

pytestmark = pytest.mark.django_db

FACTORIES: tuple[Factory, ...] = (
    AccessTokenFactory,
    AppealFactory,
    AuditEntryFactory,
    CalibrationLineFactory,
    CalibrationTrialFactory,
    CheckOutcomeFactory,
    CheckSettingFactory,
    ConsentFactory,
    ConsentStatementFactory,
    CountFactory,
    DeterminationFactory,
    DoublePairFactory,
    ExactPermissionFactory,
    GrantVetoFactory,
    GroupFactory,
    IdempotentAnswerFactory,
    ParticipantFactory,
    PersonalLinkFactory,
    PhaseFactory,
    PhotoFactory,
    PitFactory,
    ProtocolVersionFactory,
    ResearchGrantFactory,
    ReviewClaimFactory,
    ReviewFactory,
    ReviewerFactory,
    SiteFactory,
    SoilObservationFactory,
    SubmissionFactory,
    SubmissionItemFactory,
    TaxonSensitivityFactory,
    UploadFaultFactory,
    UploadJobFactory,
    VisitFactory,
)
FACTORY_OF: dict[Any, Factory] = {factory._meta.model: factory for factory in FACTORIES}
PUBLIC_ID = UUID("6e0f1d52-30a5-4c2f-9a35-0d4f6c1c7b11")

# The check that must refuse, and what of an otherwise valid row is wrong.
NEVER: tuple[tuple[str, Factory, dict[str, Any]], ...] = (
    ("group_box_in_order", GroupFactory, {"south": Decimal("52.95")}),
    ("group_box_in_order", GroupFactory, {"west": Decimal("-0.29")}),
    ("group_meeting_point_whole", GroupFactory, {"meeting_latitude": Decimal("52.7")}),
    ("group_meeting_point_whole", GroupFactory, {"meeting_longitude": Decimal("-0.5")}),
    ("group_practice_unnamed", GroupFactory, {"practice_of_id": 1, "named_publicly": True}),
    ("consent_decision_known", ConsentFactory, {"decision": "unsure"}),
    ("consent_purpose_known", ConsentFactory, {"purpose": "advertise"}),
    ("consent_giver_known", ConsentFactory, {"given_by": "neighbour"}),
    ("consent_evidence_known", ConsentFactory, {"evidence": "rumour"}),
    ("consent_only_guardians_differ", ConsentFactory, {"giver": "second"}),
    ("statement_purpose_known", ConsentStatementFactory, {"purpose": "advertise"}),
    ("statement_grace_in_order", ConsentStatementFactory, {"older_end_on": date(2024, 7, 31)}),
    (
        "participant_age_known_one_way",
        ParticipantFactory,
        {"born_on": date(1980, 5, 1), "of_age_by": date(2020, 1, 1)},
    ),
    ("token_one_holder", AccessTokenFactory, {"group": None}),
    ("token_one_holder", AccessTokenFactory, {"reviewer": SubFactory(ReviewerFactory)}),
    ("token_ends_after_start", AccessTokenFactory, {"expires_at": NOW}),
    ("link_ends_after_start", PersonalLinkFactory, {"expires_at": NOW}),
    ("link_holder_known", PersonalLinkFactory, {"held_by": "neighbour"}),
    ("site_on_the_globe", SiteFactory, {"latitude": Decimal("90.0000001")}),
    ("site_on_the_globe", SiteFactory, {"latitude": Decimal("-90.0000001")}),
    ("site_on_the_globe", SiteFactory, {"longitude": Decimal("180.0000001")}),
    ("site_on_the_globe", SiteFactory, {"longitude": Decimal("-180.0000001")}),
    ("site_uncertainty_positive", SiteFactory, {"uncertainty_m": 0.0}),
    ("site_place_kind_known", SiteFactory, {"place_kind": "castle"}),
    ("site_place_detail_known", SiteFactory, {"place_detail": "exact"}),
    ("permission_ends_after_start", ExactPermissionFactory, {"ends_on": NOW.date()}),
    ("permission_evidence_known", ExactPermissionFactory, {"evidence": "rumour"}),
    ("sensitivity_category_known", TaxonSensitivityFactory, {"category": 0}),
    ("sensitivity_category_known", TaxonSensitivityFactory, {"category": 5}),
    ("grant_ends_after_start", ResearchGrantFactory, {"ends_on": NOW.date()}),
    ("visit_state_known", VisitFactory, {"state": "published"}),
    ("visit_revision_from_one", VisitFactory, {"revision": 0}),
    ("visit_people_at_least_one", VisitFactory, {"people_digging": 0}),
    ("pit_number_from_one", PitFactory, {"number": 0}),
    ("pit_lengths_positive", PitFactory, {"width_cm": Decimal(0)}),
    ("pit_lengths_positive", PitFactory, {"length_cm": Decimal(0)}),
    ("pit_lengths_positive", PitFactory, {"depth_cm": Decimal(-20)}),
    ("pit_position_whole_and_on_the_globe", PitFactory, {"latitude": Decimal("52.9")}),
    ("pit_position_whole_and_on_the_globe", PitFactory, {"longitude": Decimal("-0.7")}),
    (
        "pit_position_whole_and_on_the_globe",
        PitFactory,
        {"latitude": Decimal(91), "longitude": Decimal(0)},
    ),
    (
        "pit_position_whole_and_on_the_globe",
        PitFactory,
        {"latitude": Decimal(0), "longitude": Decimal(-181)},
    ),
    (
        "pit_management_unknown_or_listed",
        PitFactory,
        {"management": ["mown"], "management_unknown": True},
    ),
    ("phase_words_known", PhaseFactory, {"kind": "electric_shock"}),
    ("phase_words_known", PhaseFactory, {"state": "half_done"}),
    ("phase_pours_only_when_done", PhaseFactory, {"state": "not_done", "volume_ml": 500}),
    ("phase_pours_only_when_done", PhaseFactory, {"state": "not_done", "wait_min": 5}),
    ("phase_pours_only_when_done", PhaseFactory, {"state": "not_entered", "agent": "mustard"}),
    ("count_number_with_state", CountFactory, {"number": -1}),
    ("count_number_with_state", CountFactory, {"number": None}),
    ("count_number_with_state", CountFactory, {"state": "not_looked_for", "number": 0}),
    ("count_number_with_state", CountFactory, {"state": "not_entered", "number": 3}),
    ("count_number_with_state", CountFactory, {"state": "absent", "number": None}),
    ("count_words_known", CountFactory, {"group": "swimming"}),
    ("count_words_known", CountFactory, {"stage": "pupa"}),
    ("determination_sequence_from_one", DeterminationFactory, {"sequence": 0}),
    ("soil_value_with_state", SoilObservationFactory, {"value": ""}),
    ("soil_value_with_state", SoilObservationFactory, {"state": "not_looked_for"}),
    ("soil_value_with_state", SoilObservationFactory, {"state": "not_entered"}),
    ("soil_value_with_state", SoilObservationFactory, {"state": "guessed"}),
    ("soil_property_known", SoilObservationFactory, {"name": "smell"}),
    (
        "trial_first_observer_with_kind",
        CalibrationTrialFactory,
        {"first_observer": SubFactory(ParticipantFactory)},
    ),
    ("trial_first_observer_with_kind", CalibrationTrialFactory, {"kind": "two_observers"}),
    ("trial_first_observer_with_kind", CalibrationTrialFactory, {"kind": "guessed_numbers"}),
    (
        "trial_observers_differ",
        CalibrationTrialFactory,
        {"kind": "two_observers", "first_observer": SelfAttribute("observer")},
    ),
    ("trial_step_known", CalibrationTrialFactory, {"step": "electric_shock"}),
    ("trial_line_words_known", CalibrationLineFactory, {"group": "swimming"}),
    ("trial_line_words_known", CalibrationLineFactory, {"stage": "pupa"}),
    ("photo_words_known", PhotoFactory, {"kind": "portrait"}),
    ("photo_decided_by_somebody", PhotoFactory, {"state": "approved"}),
    ("photo_decided_by_somebody", PhotoFactory, {"state": "approved", "decided_at": NOW}),
    ("photo_decided_by_somebody", PhotoFactory, {"decided_at": NOW}),
    ("photo_decided_by_somebody", PhotoFactory, {"decided_by": SubFactory(ReviewerFactory)}),
    (
        "photo_reason_if_refused",
        PhotoFactory,
        {"state": "refused", "decided_at": NOW, "decided_by": SubFactory(ReviewerFactory)},
    ),
    ("photo_reason_if_refused", PhotoFactory, {"reason_code": "shows-face"}),
    ("photo_not_empty", PhotoFactory, {"width_px": 0}),
    ("photo_not_empty", PhotoFactory, {"height_px": 0}),
    ("photo_not_empty", PhotoFactory, {"size_bytes": 0}),
    ("job_state_known", UploadJobFactory, {"state": "lost"}),
    ("job_phase_known", UploadJobFactory, {"phase": "guessing"}),
    ("job_kind_known", UploadJobFactory, {"kind": "exe"}),
    ("item_outcome_known", SubmissionItemFactory, {"outcome": "lost"}),
    ("review_decision_known", ReviewFactory, {"decision": "maybe", "reason_code": "double"}),
    ("review_reason_unless_accepted", ReviewFactory, {"decision": "declined"}),
    ("review_reason_unless_accepted", ReviewFactory, {"decision": "asked_back"}),
    ("review_reason_unless_accepted", ReviewFactory, {"decision": "accepted_with_change"}),
    ("review_looks_up_to_three", ReviewFactory, {"look": 4}),
    ("review_looks_up_to_three", ReviewFactory, {"look": 0}),
    ("review_standing_known", ReviewFactory, {"standing": "lost"}),
    ("claim_ends_after_start", ReviewClaimFactory, {"expires_at": NOW}),
    ("double_pair_in_order", DoublePairFactory, {"first": SelfAttribute("second")}),
    ("double_verdict_whole", DoublePairFactory, {"verdict": "two_visits"}),
    ("double_verdict_whole", DoublePairFactory, {"judged_at": NOW}),
    (
        "double_verdict_whole",
        DoublePairFactory,
        {"verdict": "maybe", "judged_at": NOW, "judged_by": SubFactory(ReviewerFactory)},
    ),
)
# Columns that are unique by themselves, with a value that two rows must not share.
ONCE: tuple[tuple[Factory, str, Any], ...] = (
    (GroupFactory, "code", "QVD"),
    (GroupFactory, "practice_of", GroupFactory.create),
    (ReviewerFactory, "code", "R-1"),
    (ReviewerFactory, "user", lambda: get_user_model().objects.create(username="reviewer")),
    (ReviewerFactory, "participant", ParticipantFactory.create),
    (AccessTokenFactory, "sha256", "a" * 64),
    (PersonalLinkFactory, "nonce_sha256", "a" * 64),
    (AuditEntryFactory, "entry_hash", "a" * 64),
    (SubmissionFactory, "public_key", PUBLIC_ID),
    (PhotoFactory, "public_key", PUBLIC_ID),
    (UploadJobFactory, "public_key", PUBLIC_ID),
    (SiteFactory, "public_id", PUBLIC_ID),
    (ResearchGrantFactory, "key", PUBLIC_ID),
    (ResearchGrantFactory, "sha256", "1" * 64),
    (ReviewClaimFactory, "visit", VisitFactory.create),
    (VisitFactory, "public_id", PUBLIC_ID),
    (PitFactory, "public_id", PUBLIC_ID),
    (PhaseFactory, "public_id", PUBLIC_ID),
    (CountFactory, "public_id", PUBLIC_ID),
)
# Who or when that may stand alone: every other one needs a constraint that ties it to its partner.
ALONE = {
    "AccessToken.last_used_at": "a token is used by its holder",
    "AccessToken.revoked_at": "the trail says who revoked",
    "CheckOutcome.superseded_at": "a later run took its place",
    "Consent.ends_on": "a consent without end",
    "ExactPermission.ended_at": "the trail says who ended it",
    "PersonalLink.revoked_at": "the trail says who asked for the next one",
    "PersonalLink.used_at": "a link is used by its holder",
    "ResearchGrant.ended_at": "the trail says who ended it",
    "Reviewer.participant": "a reviewer need not be a recorder",
    "Reviewer.user": "a reviewer by token only",
    "Site.place_detail_at": "the trail says who asked",
    "UploadJob.finished_at": "a job is ended by its worker or its group",
    "UploadJob.started_at": "a job is started by its worker",
    "Visit.sent_at": "the sender's clock, where it has one",
}


def private_models() -> list[type[models.Model]]:
    return list(apps.get_app_config("surveys").get_models())


def constraints(
    kind: type[models.BaseConstraint],
) -> Iterator[tuple[type[models.Model], Any]]:
    for model in private_models():
        for constraint in model._meta.constraints:
            if isinstance(constraint, kind):
                yield model, constraint


UNIQUE = list(constraints(models.UniqueConstraint))


def positive_columns() -> Iterator[tuple[Factory, str]]:
    for model in private_models():
        for field in model._meta.get_fields():
            if isinstance(field, models.PositiveIntegerField | models.PositiveSmallIntegerField):
                yield FACTORY_OF[model], field.name


def names_in(condition: Any) -> Iterator[str]:
    """Yield the columns that a condition is about."""
    for child in condition.children:
        if isinstance(child, models.Q):
            yield from names_in(child)
        elif isinstance(child, tuple):
            yield child[0].partition("__")[0]


def constrained(model: type[models.Model]) -> set[str]:
    return {
        name
        for constraint in model._meta.constraints
        if isinstance(constraint, models.CheckConstraint)
        for name in names_in(constraint.condition)
    }


def is_who_or_when(field: Any) -> bool:
    people = {gathered.Group, gathered.Participant, gathered.Reviewer, get_user_model()}
    return field.name.endswith(("_at", "_on", "_by")) or field.related_model in people


def lone_columns() -> set[str]:
    return {
        f"{model.__name__}.{field.name}"
        for model in private_models()
        for field in model._meta.concrete_fields
        if field.null and is_who_or_when(field) and field.name not in constrained(model)
    }


def test_every_private_table_is_gathered_and_has_a_factory() -> None:
    assert {model.__name__ for model in private_models()} == set(gathered.__all__)
    assert set(FACTORY_OF) == set(private_models())


@pytest.mark.parametrize("factory", FACTORIES, ids=lambda factory: factory.__name__)
def test_valid_minimum_is_stored_and_valid_to_django(factory: Factory) -> None:
    row = factory.create()

    row.clean_fields(exclude=[f.name for f in row._meta.fields if not getattr(row, f.name)])
    assert type(row).objects.filter(pk=row.pk).exists()


@pytest.mark.parametrize(
    ("constraint", "factory", "wrong"), NEVER, ids=[f"{n}-{k}" for k, (n, _, _) in enumerate(NEVER)]
)
def test_database_refuses_what_must_never_be(
    constraint: str, factory: Factory, wrong: dict[str, Any]
) -> None:
    with pytest.raises(IntegrityError) as refusal:
        factory.create(**wrong)

    assert constraint in str(refusal.value)


def test_every_check_of_the_database_is_tried_above() -> None:
    stated = {constraint.name for _, constraint in constraints(models.CheckConstraint)}

    assert {name for name, _, _ in NEVER} == stated


@pytest.mark.parametrize(
    ("model", "constraint"), UNIQUE, ids=[constraint.name for _, constraint in UNIQUE]
)
def test_database_refuses_a_second_of_the_same(
    model: type[models.Model], constraint: models.UniqueConstraint
) -> None:
    earlier = FACTORY_OF[model].create()
    same = {name: getattr(earlier, name) for name in constraint.fields}

    with pytest.raises(IntegrityError) as refusal:
        FACTORY_OF[model].create(**same)

    table = model._meta.db_table
    columns = [f.column for f in model._meta.concrete_fields if f.name in constraint.fields]
    as_sqlite_says = ", ".join(f"{table}.{column}" for column in columns)
    told = constraint.name if connection.vendor == "postgresql" else as_sqlite_says
    assert told in str(refusal.value)


@pytest.mark.parametrize(
    ("factory", "column", "value"), ONCE, ids=[f"{f.__name__}-{c}" for f, c, _ in ONCE]
)
def test_database_refuses_a_second_use_of_a_value(
    factory: Factory, column: str, value: Any
) -> None:
    shared = value() if callable(value) else value
    factory.create(**{column: shared})

    with pytest.raises(IntegrityError):
        factory.create(**{column: shared})


def test_every_unique_column_is_tried_above() -> None:
    stated = {
        (model, field.name)
        for model in private_models()
        for field in model._meta.concrete_fields
        if field.unique and not field.primary_key
    }

    assert {(factory._meta.model, column) for factory, column, _ in ONCE} == stated


@pytest.mark.parametrize(
    ("factory", "column"),
    list(positive_columns()),
    ids=[f"{factory.__name__}-{column}" for factory, column in positive_columns()],
)
def test_database_refuses_a_number_below_zero(factory: Factory, column: str) -> None:
    with pytest.raises(IntegrityError):
        factory.create(**{column: -1})


def test_who_and_when_are_tied_together_or_named_as_exceptions() -> None:
    assert lone_columns() == set(ALONE)


@pytest.mark.parametrize(
    ("factory", "facts", "text"),
    [
        (AccessTokenFactory, {"prefix": "dri0a1b2c"}, "dri0a1b2c laptop"),
        (AuditEntryFactory, {"subject_key": "QVD"}, "group registered group QVD"),
        (AppealFactory, {"against__visit__client_ref": "V-1"}, "appeal on V-1"),
        (CalibrationTrialFactory, {"client_ref": "T-1"}, "T-1"),
        (CalibrationLineFactory, {"trial__client_ref": "T-1"}, "T-1 anecic adult"),
        (CheckOutcomeFactory, {}, "VALIDATION_COUNTS_LIKELY COMPLIANT"),
        (
            CheckOutcomeFactory,
            {"result": "", "status": "AMENDED"},
            "VALIDATION_COUNTS_LIKELY AMENDED",
        ),
        (ConsentFactory, {"participant__code": "P-1"}, "P-1 publish given"),
        (
            ExactPermissionFactory,
            {"site__code": "F-1", "site__owner__code": "P-1"},
            "exact place of F-1 by P-1",
        ),
        (TaxonSensitivityFactory, {}, "Lumbricus rarus: 2"),
        (TaxonSensitivityFactory, {"category": None}, "Lumbricus rarus: not sensitive"),
        (ResearchGrantFactory, {"key": PUBLIC_ID}, f"grant {PUBLIC_ID}"),
        (
            GrantVetoFactory,
            {"grant__key": PUBLIC_ID, "group__code": "QVD"},
            f"QVD against grant {PUBLIC_ID}",
        ),
        (ConsentStatementFactory, {"version": "3"}, "publish/3"),
        (
            CountFactory,
            {"phase__pit__visit__client_ref": "V-1"},
            "V-1 pit 1 hand_sort endogeic adult",
        ),
        (
            DeterminationFactory,
            {"count__phase__pit__visit__client_ref": "V-1"},
            "V-1 pit 1 hand_sort endogeic adult -> 2",
        ),
        (GroupFactory, {"code": "QVD"}, "QVD"),
        (IdempotentAnswerFactory, {}, "key-1"),
        (ParticipantFactory, {"code": "P-1", "name": "Tamsin Oddwell"}, "P-1"),
        (ProtocolVersionFactory, {"version": "3"}, "empty-pit/3"),
        (ReviewFactory, {"visit__client_ref": "V-1"}, "V-1 accepted"),
        (
            ReviewClaimFactory,
            {"visit__client_ref": "V-1", "reviewer__code": "R-1"},
            "V-1 claimed by R-1",
        ),
        (
            DoublePairFactory,
            {"first__client_ref": "V-1", "second__client_ref": "V-2"},
            "V-1 and V-2",
        ),
        (CheckSettingFactory, {}, "contrast-pit/2: late_after_days"),
        (CheckSettingFactory, {"parameters": {}}, "contrast-pit/2: its own parameters"),
        (ReviewerFactory, {"code": "R-1"}, "R-1"),
        (SiteFactory, {"code": "S-1"}, "S-1"),
        (SoilObservationFactory, {"pit__visit__client_ref": "V-1"}, "V-1 pit 1 moisture"),
        (UploadJobFactory, {"public_key": PUBLIC_ID}, f"{PUBLIC_ID}"),
        (UploadFaultFactory, {"job__public_key": PUBLIC_ID}, f"{PUBLIC_ID} 2 pit.habitat"),
        (SubmissionItemFactory, {"submission__public_key": PUBLIC_ID}, f"{PUBLIC_ID} 0"),
    ],
)
def test_row_is_told_by_its_codes_alone(factory: Factory, facts: dict[str, Any], text: str) -> None:
    assert str(factory.create(**facts)) == text


def test_token_ends_after_its_start_even_by_a_second() -> None:
    token = AccessTokenFactory.create(expires_at=NOW + timedelta(seconds=1))

    assert token.pk is not None
