"""Checking again after a parameter changed, and pairing what looks alike."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from surveys.checks.models import CheckOutcome, DoublePair
from surveys.checks.operations import check_again
from surveys.checks.queries import concerns
from surveys.people.models import Group
from surveys.protocol.check_settings import ParametersWrong, set_checks
from surveys.protocol.models import CheckSetting
from surveys.protocol.queries import checked_with
from surveys.visits.models import Visit
from tests.factories.private import (
    NOW,
    ReviewerFactory,
    put,
    sending_group,
    stored_visit,
    visit_payload,
)

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(days=10)
LIKELY = "VALIDATION_COUNTS_LIKELY"


@pytest.fixture
def visit() -> Visit:
    return stored_visit(sending_group())


def stricter(visit: Visit) -> CheckSetting:
    """Ask about anything from 10 animals per m2 on."""
    return set_checks(
        protocol=visit.protocol,
        parameters={"query_above_per_m2": 10},
        author="reviewer S1",
        reason="A dry year.",
        at=LATER - timedelta(hours=1),
    )


def likely(visit: Visit) -> list[tuple[str, int | None, bool]]:
    rows = CheckOutcome.objects.filter(visit=visit, label=LIKELY).order_by("id")
    return [(row.result, row.setting_id, row.superseded_at is not None) for row in rows]


def test_checking_again_keeps_both_outcomes_with_their_parameters(visit: Visit) -> None:
    setting, before = stricter(visit), CheckOutcome.objects.count()

    is_changed = check_again(visit=visit, at=LATER)

    assert is_changed
    assert set(likely(visit)) == {
        ("COMPLIANT", None, True),
        ("NOT_COMPLIANT", setting.pk, False),
    }
    assert CheckOutcome.objects.filter(superseded_at=LATER).count() == before
    assert LIKELY in {concern.label for concern in concerns(visit)}


def test_checking_again_with_the_same_parameters_changes_nothing(visit: Visit) -> None:
    assert not check_again(visit=visit, at=LATER)

    assert [result for result, *_ in likely(visit)] == ["COMPLIANT", "COMPLIANT"]
    rows = CheckOutcome.objects.filter(visit=visit)
    said = [
        sorted(rows.filter(superseded_at__isnull=old).values_list("label", "result", "comment"))
        for old in (True, False)
    ]
    assert said[0] == said[1]


def test_setting_holds_from_its_instant_on_and_the_newest_whole(visit: Visit) -> None:
    made = stricter(visit)
    own = visit.protocol.read().checks

    assert checked_with(visit.protocol, made.made_at - timedelta(seconds=1)).checks == own
    assert checked_with(visit.protocol, LATER).checks == own.model_copy(
        update={"query_above_per_m2": 10}
    )
    set_checks(protocol=visit.protocol, parameters={}, author="S1", reason="Rain.", at=LATER)
    assert checked_with(visit.protocol, LATER).checks == own


@pytest.mark.parametrize("parameters", [{"query_above": 10}, {"late_after_days": [1, 2]}])
def test_parameter_that_no_check_has_is_refused(visit: Visit, parameters: dict[str, int]) -> None:
    with pytest.raises(ParametersWrong, match="Parameters are query_above_per_m2"):
        set_checks(protocol=visit.protocol, parameters=parameters, author="S1", reason="x", at=NOW)

    assert not CheckSetting.objects.exists()


def test_command_checks_a_protocol_again_and_lists_what_changed(visit: Visit) -> None:
    stricter(visit)
    CheckSetting.objects.update(made_at=NOW)
    said = StringIO()

    call_command("rerunchecks", "contrast-pit/2", stdout=said)

    assert said.getvalue().splitlines() == [
        f"{visit.group.code}/{visit.client_ref} (in_review) changed",
        "Checked: 1. With other concerns than before: 1.",
    ]
    with pytest.raises(CommandError, match="contrast-pit/2"):
        call_command("rerunchecks", "contrast-pit/99")


def sent(group: Group, **changes: object) -> Visit:
    return stored_visit(group, visit_payload(**changes))


def pairs() -> list[tuple[int, int]]:
    return list(DoublePair.objects.values_list("first", "second"))


def test_visits_alike_of_two_groups_are_paired() -> None:
    first = sent(sending_group("ONE"))
    second = sent(sending_group("TWO"), client_ref="their-own-word")

    assert pairs() == [(first.pk, second.pk)]


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/site/latitude", 52.8900),
        ("/visited_on", "2025-04-11"),
        ("/pits/0/phases/0/counts/1/number", 4),
    ],
)
def test_visits_that_differ_are_not_paired(pointer: str, value: object) -> None:
    sent(sending_group("ONE"))
    other = put(visit_payload(), pointer, value)
    stored_visit(sending_group("TWO"), other)

    assert pairs() == []


def test_practice_is_paired_with_nothing() -> None:
    first = sent(sending_group("ONE"))
    space = sending_group("TWO")
    space.practice_of = first.group
    space.save()

    sent(space)

    assert pairs() == []


def test_pair_lasts_until_a_correction_and_beyond_once_judged(visit: Visit) -> None:
    other = sent(sending_group("TWO"))
    Visit.objects.filter(pk=other.pk).update(visited_on=visit.visited_on - timedelta(days=1))

    check_again(visit=other, at=LATER)
    assert pairs() == []

    Visit.objects.filter(pk=other.pk).update(visited_on=visit.visited_on)
    check_again(visit=other, at=LATER)
    facts = {"verdict": "two_visits", "judged_by": ReviewerFactory.create(), "judged_at": NOW}
    DoublePair.objects.update(**facts)
    check_again(visit=other, at=LATER)
    assert list(DoublePair.objects.values_list("verdict", flat=True)) == ["two_visits"]
