"""Groups, participants and consent as registered; tokens and their secrets."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.apps import apps
from django.db import IntegrityError

from surveys.audit.models import AuditEntry
from surveys.people.models import AccessToken, Consent, Group, Participant
from surveys.people.operations import (
    issue_token,
    record_consent,
    register_group,
    register_participant,
    revoke_token,
    token_hash,
    use_token,
)
from tests.factories.private import (
    NOW,
    GroupFactory,
    ParticipantFactory,
    ReviewerFactory,
    load_statements,
    token_of,
)

pytestmark = pytest.mark.django_db

BOX = (Decimal("-0.9"), Decimal("52.6"), Decimal("-0.3"), Decimal("52.95"))


def acts() -> list[tuple[str, str, str]]:
    return [(entry.actor, entry.action, entry.subject_key) for entry in AuditEntry.objects.all()]


def test_group_is_registered_with_its_box_and_meeting_point() -> None:
    meeting_point = (Decimal("52.7012300"), Decimal("-0.4823100"))

    register_group(
        code="QVD",
        name="Diggers",
        named_publicly=True,
        box=BOX,
        meeting_point=meeting_point,
        at=NOW,
    )

    group = Group.objects.get(code="QVD")
    assert (group.west, group.south, group.east, group.north) == BOX
    assert (group.meeting_latitude, group.meeting_longitude) == meeting_point
    assert (group.named_publicly, group.active) == (True, True)
    assert acts() == [("office", "group registered", "QVD")]


def test_group_without_meeting_point_has_none() -> None:
    group = register_group(code="QVD", name="Diggers", named_publicly=False, box=BOX, at=NOW)

    assert (group.meeting_latitude, group.meeting_longitude) == (None, None)


def test_box_given_in_another_order_is_refused() -> None:
    south_first = (BOX[1], BOX[0], BOX[3], BOX[2])[::-1]

    with pytest.raises(IntegrityError, match="group_box_in_order"):
        register_group(code="QVD", name="Diggers", named_publicly=False, box=south_first, at=NOW)


def test_participant_is_registered_once() -> None:
    group = GroupFactory.create(code="QVD")
    first = register_participant(
        group=group, code="P-1", household="mill", at=NOW, born_on=date(2013, 5, 1), name="Tamsin"
    )

    again = register_participant(group=group, code="P-1", household="farm", at=NOW, name="Other")

    assert again == first
    assert (again.household, again.name, again.born_on) == ("mill", "Tamsin", date(2013, 5, 1))
    assert acts() == [("group QVD", "participant registered", "QVD/P-1")]


def test_two_groups_may_use_one_code_for_two_people() -> None:
    codes = ["QVD", "RBX"]

    for code in codes:
        group = GroupFactory.create(code=code)
        register_participant(group=group, code="P-1", household="mill", at=NOW)

    assert Participant.objects.filter(code="P-1").count() == 2


def test_consent_is_added_to_the_history_and_to_the_trail() -> None:
    load_statements()
    participant = ParticipantFactory.create(group__code="QVD", code="P-1")

    for decision in ("given", "withdrawn"):
        record_consent(
            participant=participant,
            purpose="publish",
            decision=decision,
            given_by="guardian",
            statement_version="1",
            at=NOW,
            ends_on=date(2031, 5, 1),
        )

    history = Consent.objects.values_list("decision", "given_by", "ends_on", "decided_at")
    ends = (date(2031, 5, 1), NOW)
    assert list(history) == [("given", "guardian", *ends), ("withdrawn", "guardian", *ends)]
    assert acts() == [
        ("guardian", "consent given", "QVD/P-1"),
        ("guardian", "consent withdrawn", "QVD/P-1"),
    ]


def test_trail_of_people_holds_no_name() -> None:
    load_statements()
    group = GroupFactory.create(code="QVD")
    participant = register_participant(
        group=group, code="P-1", household="mill", at=NOW, name="Tamsin Oddwell"
    )
    record_consent(
        participant=participant,
        purpose="be_named",
        decision="given",
        given_by="self",
        statement_version="1",
        at=NOW,
    )

    told = str(list(AuditEntry.objects.values()))

    assert "QVD/P-1" in told
    assert "Tamsin" not in told
    assert "mill" not in told


def test_secret_is_stored_nowhere() -> None:
    secret = token_of(GroupFactory.create(), "read", "submit")

    prefix, _, rest = secret.partition("_")
    everything = [
        str(value)
        for model in apps.get_app_config("surveys").get_models()
        for row in model._default_manager.values_list()
        for value in row
    ]

    assert len(rest) == 43  # 256 bits in base64url without padding: RFC 4648, section 5
    assert prefix in everything
    assert token_hash(secret) in everything
    assert [text for text in everything if rest in text] == []


def test_hash_is_the_published_one() -> None:
    # NIST, FIPS 180-2, appendix B.1: SHA-256 of the text "abc".
    expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"

    assert token_hash("abc") == expected


def test_tokens_are_never_the_same_twice() -> None:
    group = GroupFactory.create()

    secrets = {token_of(group) for _ in range(20)}

    assert len(secrets) == 20


def test_token_is_of_its_holder() -> None:
    group, reviewer = GroupFactory.create(), ReviewerFactory.create()

    of_group = use_token(secret=token_of(group, "submit"), at=NOW)
    of_reviewer = use_token(secret=token_of(reviewer, "review"), at=NOW)

    assert of_group is not None
    assert (of_group.group, of_group.reviewer, of_group.scopes) == (group, None, ["submit"])
    assert of_reviewer is not None
    assert (of_reviewer.group, of_reviewer.reviewer) == (None, reviewer)


def test_unknown_scope_is_refused_by_name() -> None:
    group = GroupFactory.create()

    with pytest.raises(ValueError, match=r"\['admin', 'root'\]"):
        issue_token(holder=group, name="laptop", scopes=["root", "read", "admin"], at=NOW)

    assert not AccessToken.objects.exists()


def test_almost_the_secret_opens_nothing() -> None:
    secret = token_of(GroupFactory.create())
    other_end = "B" if secret.endswith("A") else "A"

    tries = (secret[:-1] + other_end, secret[:-1], secret + "A", secret.upper(), f" {secret}", "")

    assert [use_token(secret=guess, at=NOW) for guess in tries] == [None] * len(tries)


@pytest.mark.parametrize("shown", ["sha256", "prefix"])
def test_what_is_stored_of_a_token_opens_nothing(shown: str) -> None:
    token, _ = issue_token(holder=GroupFactory.create(), name="laptop", scopes=["read"], at=NOW)

    assert use_token(secret=getattr(token, shown), at=NOW) is None


def test_token_ends_at_its_hour() -> None:
    _, secret = issue_token(
        holder=GroupFactory.create(), name="laptop", scopes=["read"], at=NOW, lifetime_days=30
    )
    end = NOW + timedelta(days=30)

    assert use_token(secret=secret, at=end - timedelta(seconds=1)) is not None
    assert use_token(secret=secret, at=end) is None


def test_token_lives_for_a_year_unless_said_otherwise() -> None:
    token, _ = issue_token(holder=GroupFactory.create(), name="laptop", scopes=["read"], at=NOW)

    assert token.expires_at == datetime(2026, 4, 14, 9, tzinfo=UTC)


def test_revoked_token_opens_nothing_and_leaves_its_twin_alone() -> None:
    group = GroupFactory.create()
    lost, lost_secret = issue_token(holder=group, name="lost", scopes=["read"], at=NOW)
    _, kept_secret = issue_token(holder=group, name="kept", scopes=["read"], at=NOW)

    revoke_token(token=lost, at=NOW)

    assert use_token(secret=lost_secret, at=NOW) is None
    assert use_token(secret=kept_secret, at=NOW) is not None
    assert acts()[-1] == ("office", "token revoked", lost.prefix)


def test_last_use_is_noted_in_steps_of_five_minutes() -> None:
    token, secret = issue_token(
        holder=GroupFactory.create(), name="laptop", scopes=["read"], at=NOW
    )
    noted = []

    for minutes in (0, 4, 5, 6):
        use_token(secret=secret, at=NOW + timedelta(minutes=minutes))
        token.refresh_from_db()
        noted.append(token.last_used_at)

    assert noted == [NOW, NOW, NOW, NOW + timedelta(minutes=6)]
