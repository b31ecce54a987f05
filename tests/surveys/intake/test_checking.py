"""What the checks say of a sent visit, told to its sender with the policy of today."""

from datetime import timedelta
from typing import Any

import pytest

from surveys.intake.checking import payload_hash, provenance, read_and_check
from surveys.people.models import Group
from surveys.sites.models import Site
from tests.factories.private import (
    NOW,
    Payload,
    counts_payload,
    put,
    sending_group,
    stored_visit,
    visit_payload,
)
from tests.surveys.intake.cases import STEP

pytestmark = pytest.mark.django_db

BLOCKED = put(visit_payload(), "/pits/0/width_cm", 2)
HELD = put(visit_payload(), "/pits/0/total", 8)
NOTED = put(visit_payload(), "/people_digging", None)
SWAPPED = visit_payload(visited_on="2025-12-04")


@pytest.fixture
def group() -> Group:
    return sending_group()


def told(group: Group, payload: Payload) -> list[tuple[str, str, str]]:
    _, faults = read_and_check(payload, group, "/visits/0", NOW)
    return [(fault.pointer, fault.code, fault.severity) for fault in faults]


def test_sound_visit_raises_nothing(group: Group) -> None:
    read, faults = read_and_check(visit_payload(), group, "/visits/0", NOW)

    assert faults == []
    assert read is not None
    assert read.facts.client_ref == "QVD-S01"
    assert {finding.source for finding in read.findings} == {"programme", "bdq"}
    assert len({finding.label for finding in read.findings}) > 20


@pytest.mark.parametrize(
    ("payload", "expected"),
    [
        (BLOCKED, ("/visits/0/pits/0/width_cm", "validation-pitsize-plausible", "error")),
        (HELD, ("/visits/0/pits/0/total", "validation-counts-sumconsistent", "query")),
        (NOTED, ("/visits/0/people_digging", "validation-effort-complete", "note")),
        (SWAPPED, ("/visits/0/visited_on", "amendment-visitdate-transposed", "note")),
        (SWAPPED, ("/visits/0/visited_on", "validation-visitdate-window", "error")),
    ],
    ids=["blocks", "holds", "notes", "proposes", "blocks beside a proposal"],
)
def test_finding_is_told_as_the_policy_says(
    group: Group, payload: Payload, expected: tuple[str, str, str]
) -> None:
    assert expected in told(group, payload)


def test_finding_says_what_was_received_and_expected(group: Group) -> None:
    _, faults = read_and_check(HELD, group, "", NOW)

    (fault,) = faults
    assert (fault.received, fault.allowed, fault.record) == ("8", "9", "QVD-S01")
    assert "the lines add up to 9" in fault.message


def test_proposal_is_told_in_the_message_and_never_applied(group: Group) -> None:
    read, faults = read_and_check(SWAPPED, group, "", NOW)

    (proposal,) = [fault for fault in faults if fault.code.startswith("amendment")]
    assert "2025-04-12" in proposal.message
    assert read is not None
    assert read.facts.visited_on.isoformat() == "2025-12-04"


@pytest.mark.parametrize(
    ("payload", "code"),
    [
        (visit_payload(visited_on="soon"), "date-not-readable"),
        (visit_payload(participant="QVD-99"), "participant-unknown"),
    ],
)
def test_visit_that_cannot_be_read_or_tied_is_not_checked(
    group: Group, payload: Payload, code: str
) -> None:
    read, faults = read_and_check(payload, group, "/visits/0", NOW)

    assert read is None
    assert [fault.code for fault in faults] == [code]


def test_checks_know_the_visits_before(group: Group) -> None:
    stored_visit(group)

    faults = told(group, visit_payload(client_ref="QVD-S02"))

    assert faults == [("/visits/0", "issue-possible-duplicate", "query")]


def test_day_of_receipt_is_the_day_of_the_checks(group: Group) -> None:
    late = NOW + timedelta(days=60)

    _, faults = read_and_check(visit_payload(), group, "", late)

    assert [fault.code for fault in faults] == ["validation-submission-timely"]


def test_provenance_keeps_the_site_and_says_who_and_when(group: Group) -> None:
    read, _ = read_and_check(visit_payload(), group, "", NOW)
    assert read is not None

    came_from = provenance(read, group, NOW)

    site = Site.objects.get()
    assert (came_from.group, came_from.site) == (group, site)
    assert (site.group, site.owner) == (group, group.participants.get())
    assert (came_from.participant, str(came_from.protocol)) == (site.owner, "contrast-pit/2")
    assert (came_from.received_at, came_from.sent_at) == (NOW, None)
    assert came_from.payload_sha256 == payload_hash(visit_payload())


def test_reading_alone_keeps_no_site(group: Group) -> None:
    read_and_check(visit_payload(), group, "", NOW)

    assert not Site.objects.exists()


def test_hash_does_not_depend_on_the_order_of_keys() -> None:
    payload = visit_payload()
    turned = dict(reversed(payload.items()))

    assert list(turned) != list(payload)
    assert payload_hash(turned) == payload_hash(payload)


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/note", "Many fine roots"),
        (f"{STEP}/counts", counts_payload(1, 3, None, 4)),
        (f"{STEP}/counts", counts_payload(3, 1, 0, 4)),
        ("/site/uncertainty_m", None),
        ("/people_digging", "2"),
    ],
)
def test_hash_changes_with_any_value(pointer: str, value: Any) -> None:
    changed = put(visit_payload(), pointer, value)

    assert payload_hash(changed) != payload_hash(visit_payload())
