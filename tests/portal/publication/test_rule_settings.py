"""Rules of generalisation with author, instant and reason; looser ones need two stewards."""

from dataclasses import replace
from datetime import timedelta

import pytest

from portal.blurring import GeneralisationRules, RulesError
from portal.publication.models import GeneralisationSetting
from portal.publication.rule_settings import (
    NotConfirmable,
    changes_of,
    confirm_rules,
    rules_in_force,
    set_rules,
)
from portal.records.models import PublishedVisit
from surveys.audit.models import AuditEntry
from tests.portal.publication.villages import FIRST_AT, release, village, village_group

TODAY = GeneralisationRules()
STRICTER = replace(TODAY, keep_at=4)
LOOSER = replace(TODAY, keep_at=2)
BEFORE = FIRST_AT - timedelta(days=1)

pytestmark = pytest.mark.django_db


def rules_set(rules: GeneralisationRules, by: str = "reviewer S1") -> GeneralisationSetting:
    return set_rules(rules=rules, by=by, reason="The board asked for it.", at=BEFORE)


def test_defaults_hold_until_somebody_sets_others() -> None:
    assert rules_in_force(FIRST_AT).rules == TODAY
    assert rules_in_force(FIRST_AT).setting is None


def test_stricter_rules_hold_from_their_instant_on() -> None:
    rules_set(STRICTER)

    assert rules_in_force(FIRST_AT).rules == STRICTER
    assert rules_in_force(BEFORE - timedelta(seconds=1)).rules == TODAY


def test_looser_rules_wait_for_another_steward() -> None:
    setting = rules_set(LOOSER)
    assert rules_in_force(FIRST_AT).rules == TODAY

    with pytest.raises(NotConfirmable, match="Another steward"):
        confirm_rules(setting=setting, by="reviewer S1", at=FIRST_AT)
    confirm_rules(setting=setting, by="reviewer S2", at=FIRST_AT)

    assert rules_in_force(FIRST_AT).rules == LOOSER
    assert rules_in_force(BEFORE).rules == TODAY
    actions = AuditEntry.objects.filter(subject_kind="generalisation rules")
    assert [(entry.actor, entry.action) for entry in actions] == [
        ("reviewer S1", "generalisation rules set"),
        ("reviewer S2", "generalisation rules confirmed"),
    ]


def test_rules_that_wait_are_overtaken_by_newer_ones() -> None:
    setting = rules_set(LOOSER)
    rules_set(STRICTER)

    with pytest.raises(NotConfirmable, match="Newer rules"):
        confirm_rules(setting=setting, by="reviewer S2", at=FIRST_AT)

    assert rules_in_force(FIRST_AT).rules == STRICTER


def test_rules_in_force_need_no_confirmation() -> None:
    with pytest.raises(NotConfirmable, match="do not wait"):
        confirm_rules(setting=rules_set(STRICTER), by="reviewer S2", at=FIRST_AT)


def test_changes_are_against_the_rules_of_the_time() -> None:
    rules_set(STRICTER)
    setting = rules_set(replace(STRICTER, open_at=8))

    assert [change.rule for change in changes_of(setting)] == ["open_at"]


@pytest.mark.parametrize(
    ("rules", "reason", "complaint"),
    [
        (TODAY, "Why not.", "in force already"),
        (STRICTER, "  ", "Say why"),
        (replace(TODAY, consent_floors={"fine": 4}), "Fewer.", "consent_floors for each of fine"),
        (replace(TODAY, taxon_floors={**TODAY.taxon_floors, 5: 5}), "More.", "taxon_floors"),
    ],
)
def test_rules_that_say_nothing_or_too_little_are_refused(
    rules: GeneralisationRules, reason: str, complaint: str
) -> None:
    with pytest.raises(RulesError, match=complaint):
        set_rules(rules=rules, by="reviewer S1", reason=reason, at=BEFORE)

    assert not GeneralisationSetting.objects.exists()


def test_history_is_never_changed() -> None:
    setting = rules_set(STRICTER)

    for change in (setting.save, setting.delete):
        with pytest.raises(TypeError):
            change()


def test_release_uses_the_rules_in_force_and_records_them_without_a_name() -> None:
    village(village_group(), range(3))
    setting = rules_set(STRICTER)

    made = release()

    assert made.rules["keep_at"] == 4
    assert made.rules["setting"] == {
        "id": setting.pk,
        "author_role": "data steward",
        "in_force_since": f"{BEFORE:%Y-%m-%d}",
    }
    assert "S1" not in str(made.rules)
    assert not PublishedVisit.objects.exists(), "three households are too few for these rules"


def test_release_by_the_defaults_says_so() -> None:
    made = release()

    assert made.rules["keep_at"] == 3
    assert made.rules["setting"] == {"id": None, "author_role": None, "in_force_since": None}


def test_month_is_published_where_the_rules_say_so() -> None:
    months = {**TODAY.date_precisions, "private_garden": "month"}
    rules_set(replace(TODAY, date_precisions=months))
    village(village_group(), range(3))

    release()

    shown = PublishedVisit.objects.values_list("date_precision", "sampled_on").distinct()
    assert [(precision, len(day)) for precision, day in shown] == [("month", len("2025-04"))]
