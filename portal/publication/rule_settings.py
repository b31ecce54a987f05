"""The rules of generalisation with their history: who set them, when, why, and who agreed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.db import transaction
from django.db.models import Q

from portal.blurring import GeneralisationRules, RuleChange, RulesError, rule_changes
from portal.publication.models import GeneralisationSetting, SettingConfirmation
from surveys.audit.operations import record

AUTHOR_ROLE = "data steward"
_TABLES = ("place_floors", "consent_floors", "taxon_floors", "date_precisions")


class NotConfirmable(Exception):  # noqa: N818 -- reads as what happened
    """Rules that cannot be confirmed, or not by this person; the message says why."""


@dataclass(frozen=True)
class RulesInForce:
    """The rules that hold at an instant, and the setting that made them; none: the defaults."""

    rules: GeneralisationRules
    setting: GeneralisationSetting | None

    def as_published(self) -> dict[str, Any]:
        """Return what a release records: rules, number, role and day, and nobody's name."""
        since = None if self.setting is None else in_force_since(self.setting)
        origin = {
            "id": None if self.setting is None else self.setting.pk,
            "author_role": None if self.setting is None else AUTHOR_ROLE,
            "in_force_since": None if since is None else f"{since.astimezone(UTC):%Y-%m-%d}",
        }
        return self.rules.as_dict() | {"setting": origin}


def rules_in_force(at: datetime) -> RulesInForce:
    """Return the newest rules in force at an instant, else the defaults."""
    agreed = Q(needs_second=False) | Q(confirmation__made_at__lte=at)
    setting = (
        GeneralisationSetting.objects.select_related("confirmation")
        .filter(agreed, made_at__lte=at)
        .last()
    )
    if setting is None:
        return RulesInForce(GeneralisationRules(), None)
    return RulesInForce(GeneralisationRules.from_dict(setting.rules), setting)


def in_force_since(setting: GeneralisationSetting) -> datetime | None:
    """Return when rules came into force, or nothing while they wait."""
    if not setting.needs_second:
        return setting.made_at
    confirmation = getattr(setting, "confirmation", None)
    return None if confirmation is None else confirmation.made_at


def changes_of(setting: GeneralisationSetting) -> list[RuleChange]:
    """Return what a setting changes against the rules that held when it was made."""
    earlier = GeneralisationSetting.objects.filter(pk__lt=setting.pk)
    agreed = Q(needs_second=False) | Q(confirmation__made_at__lte=setting.made_at)
    last = earlier.filter(agreed).last()
    before = GeneralisationRules() if last is None else GeneralisationRules.from_dict(last.rules)
    return rule_changes(before, GeneralisationRules.from_dict(setting.rules))


@transaction.atomic
def set_rules(
    *, rules: GeneralisationRules, by: str, reason: str, at: datetime
) -> GeneralisationSetting:
    """Add rules to the history: in force at once, unless they let more be seen than today's.

    Those wait until another steward confirms them.

    Raises
    ------
    RulesError
        If nothing changes, a table lacks an entry or has an unknown one, or no reason is given.
    """
    changes = rule_changes(rules_in_force(at).rules, rules)
    _check(rules, changes, reason)
    setting = GeneralisationSetting.objects.create(
        rules=rules.as_dict(),
        author=by,
        reason=reason,
        made_at=at,
        needs_second=_lets_more(changes),
    )
    record(
        actor=by,
        action="generalisation rules set",
        kind="generalisation rules",
        key=str(setting.pk),
        at=at,
        reason=reason,
        rules=[change.rule for change in changes],
        needs_second=setting.needs_second,
    )
    return setting


@transaction.atomic
def confirm_rules(*, setting: GeneralisationSetting, by: str, at: datetime) -> None:
    """Put rules that wait into force.

    Raises
    ------
    NotConfirmable
        If they don't wait, newer ones were set, or the author confirms alone.
    """
    setting = GeneralisationSetting.objects.select_for_update().get(pk=setting.pk)
    if in_force_since(setting) is not None:
        msg = "These rules do not wait for anybody."
        raise NotConfirmable(msg)
    if GeneralisationSetting.objects.filter(pk__gt=setting.pk).exists():
        msg = "Newer rules were set meanwhile; set these again if they are still wanted."
        raise NotConfirmable(msg)
    if setting.author == by:
        msg = "Another steward must confirm rules that let more be seen."
        raise NotConfirmable(msg)
    SettingConfirmation.objects.create(setting=setting, author=by, made_at=at)
    record(
        actor=by,
        action="generalisation rules confirmed",
        kind="generalisation rules",
        key=str(setting.pk),
        at=at,
    )


def _check(rules: GeneralisationRules, changes: list[RuleChange], reason: str) -> None:
    known = GeneralisationRules().as_dict()
    for table in _TABLES:
        if set(rules.as_dict()[table]) != set(known[table]):
            message = f"Needed: {table} for each of {', '.join(known[table])}, and no other."
            raise RulesError(message)
    if not reason.strip():
        message = "Say why the rules change."
        raise RulesError(message)
    if not changes:
        message = "These rules are in force already."
        raise RulesError(message)


def _lets_more(changes: Iterable[RuleChange]) -> bool:
    return any(change.lets_more_be_seen for change in changes)
