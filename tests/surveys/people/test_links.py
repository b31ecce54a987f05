"""Personal links: issued once, kept as a hash, ended by time or by the next."""

from datetime import timedelta

import pytest
from django.core.signing import Signer
from django.db import IntegrityError, transaction

from surveys.audit.models import AuditEntry
from surveys.people.links import PURPOSE, issue_link, link_of, use_up
from surveys.people.models import Participant, PersonalLink
from tests.factories.private import NOW, ParticipantFactory, PersonalLinkFactory

WEEK = timedelta(days=7)

pytestmark = pytest.mark.django_db


def issue(participant: Participant | None = None) -> tuple[PersonalLink, str]:
    participant = participant or ParticipantFactory.create()
    return issue_link(participant=participant, lifetime=WEEK, at=NOW, by="group QVD")


def test_token_gives_its_link_and_nothing_of_it_is_stored() -> None:
    link, token = issue()

    assert link_of(token=token, at=NOW) == link
    row = str(PersonalLink.objects.values().get())
    nonce, _, signature = token.partition(".")
    assert nonce not in row
    assert signature not in row
    assert token not in str(list(AuditEntry.objects.values()))


def test_token_carries_256_random_bits_and_nothing_else() -> None:
    participant = ParticipantFactory.create(code="P77")

    tokens = {issue(participant)[1] for _ in range(5)}

    nonces = {token.partition(".")[0] for token in tokens}
    assert len(nonces) == 5
    assert {len(nonce) for nonce in nonces} == {43}  # 32 bytes in base64 without padding
    assert not [token for token in tokens if "P77" in token]


def test_link_ends_on_its_second() -> None:
    link, token = issue()

    assert link.expires_at == NOW + WEEK
    assert link_of(token=token, at=NOW + WEEK - timedelta(seconds=1)) == link
    assert link_of(token=token, at=NOW + WEEK) is None


def test_new_link_ends_the_earlier_ones_of_the_same_person_only() -> None:
    participant = ParticipantFactory.create()
    _, others = issue()
    _, first = issue(participant)

    _, second = issue(participant)

    assert link_of(token=first, at=NOW) is None
    assert link_of(token=second, at=NOW) is not None
    assert link_of(token=others, at=NOW) is not None


def test_database_refuses_two_links_in_force_and_one_that_ends_before_it_starts() -> None:
    link, _ = issue()

    with pytest.raises(IntegrityError), transaction.atomic():
        PersonalLinkFactory.create(participant=link.participant)
    with pytest.raises(IntegrityError), transaction.atomic():
        PersonalLinkFactory.create(expires_at=NOW)


@pytest.mark.parametrize("alter", ["cut", "grown", "swapped", "unsigned", "empty", "odd"])
def test_altered_token_gives_nothing(alter: str) -> None:
    _, token = issue()
    _, other = issue()
    nonce, _, signature = token.partition(".")
    altered = {
        "cut": token[:-1],
        "grown": f"{token}A",
        "swapped": f"{other.partition('.')[0]}.{signature}",
        "unsigned": nonce,
        "empty": "",
        "odd": "\N{REPLACEMENT CHARACTER}ü.\N{EARTH GLOBE EUROPE-AFRICA}",
    }

    assert link_of(token=altered[alter], at=NOW) is None


def test_signature_for_another_purpose_is_not_taken() -> None:
    _, token = issue()
    nonce = token.partition(".")[0]

    assert Signer(salt=PURPOSE, sep=".").sign(nonce) == token
    for signer in (Signer(sep="."), Signer(salt="password-reset", sep=".")):
        assert link_of(token=signer.sign(nonce), at=NOW) is None


def test_issue_is_in_the_trail_under_who_asked() -> None:
    participant = ParticipantFactory.create(group__code="QVD", code="P07")

    issue(participant)

    entry = AuditEntry.objects.get()
    assert (entry.actor, entry.action, entry.subject_key) == (
        "group QVD",
        "personal link issued",
        "QVD/P07",
    )
    assert entry.detail == {"expires_at": "2025-04-21T09:00:00+00:00", "held_by": "self"}


def test_used_up_link_still_opens() -> None:
    link, token = issue()

    use_up(link=link, at=NOW)

    found = link_of(token=token, at=NOW)
    assert found is not None
    assert found.used_at == NOW
