"""The rules by which places and dates are published, set by stewards."""

from dataclasses import asdict
from datetime import datetime
from typing import Any, ClassVar, Literal

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.parameters import require_known
from api.review.reading import read_body
from api.review.stewards import StewardView
from api.schema import json_body, problems
from portal.blurring import GeneralisationRules, RulesError
from portal.publication.models import GeneralisationSetting
from portal.publication.rule_settings import (
    NotConfirmable,
    RulesInForce,
    changes_of,
    confirm_rules,
    in_force_since,
    rules_in_force,
    set_rules,
)

_SETTING: dict[str, Any] = {
    "id": {"type": "integer"},
    "author": {"type": "string"},
    "reason": {"type": "string"},
    "made_at": {"type": "string", "format": "date-time"},
    "state": {"type": "string", "enum": ["in force", "waits for a second steward"]},
    "in_force_since": {"type": ["string", "null"], "format": "date-time"},
    "confirmed_by": {"type": ["string", "null"]},
    "changes": {"type": "array", "items": {"type": "object"}},
}


class RulesIn(BaseModel):
    """The rules that change; of a table, the entries that change."""

    model_config = ConfigDict(extra="forbid")

    keep_at: int | None = Field(None, ge=1, le=100, description="Households a group needs (k).")
    open_at: int | None = Field(None, ge=1, le=100, description="Households that open a cell.")
    institutions_at: int | None = Field(None, ge=1, le=100)
    unknown_uncertainty_m: float | None = Field(None, gt=0, le=100_000, allow_inf_nan=False)
    place_floors: dict[str, int] = Field(default_factory=dict)
    consent_floors: dict[str, int] = Field(default_factory=dict)
    taxon_floors: dict[Literal["1", "2", "3", "4"], int] = Field(default_factory=dict)
    date_precisions: dict[str, Literal["day", "month"]] = Field(default_factory=dict)

    def applied_to(self, rules: GeneralisationRules) -> GeneralisationRules:
        """Return rules with these changes."""
        stored = rules.as_dict()
        for name, sent in self.model_dump(exclude_none=True).items():
            stored[name] = stored[name] | sent if isinstance(sent, dict) else sent
        return GeneralisationRules.from_dict(stored)


class SettingIn(BaseModel):
    """A change of rules and why."""

    model_config = ConfigDict(extra="forbid")

    rules: RulesIn
    reason: str = Field(min_length=1, max_length=500)


class RulesView(StewardView):
    """Reading the rules with their history, and changing them."""

    scopes: ClassVar[dict[str, str]] = StewardView.scopes | {"POST": "steward"}

    @extend_schema(
        operation_id="read_generalisation_rules",
        tags=["review"],
        summary="The rules of generalisation in force, those that wait, and their history",
        responses={200: json_body("Rules and history."), **problems(400, 401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer the rules."""
        self.steward_of(request)
        require_known(request.query_params, [])
        history = GeneralisationSetting.objects.select_related("confirmation").order_by("-id")
        return Response(
            {
                "in_force": _in_force(rules_in_force(timezone.now())),
                "history": [_shape(setting) for setting in history],
            }
        )

    @extend_schema(
        operation_id="set_generalisation_rules",
        tags=["review"],
        summary="Change rules of generalisation, from the next release on",
        description=(
            "Rules that are not sent stay. A change that lets more be seen (a smaller group, a "
            "finer floor, days in place of months) waits until another steward confirms it."
        ),
        request=SettingIn,
        responses={
            201: json_body("The setting.", _SETTING),
            **problems(400, 401, 403, 415, 422, 429),
        },
    )
    def post(self, request: Request) -> Response:
        """Set rules.

        Raises
        ------
        Problem
            If the rules don't hold together or nothing changes.
        """
        steward = self.steward_of(request)
        require_known(request.query_params, [])
        sent = read_body(request, SettingIn)
        now = timezone.now()
        try:
            setting = set_rules(
                rules=sent.rules.applied_to(rules_in_force(now).rules),
                by=f"reviewer {steward.code}",
                reason=sent.reason,
                at=now,
            )
        except RulesError as error:
            code = "invalid-records"
            raise Problem(code, str(error)) from error
        return Response(_shape(setting), status=201)


class RulesConfirmationView(StewardView):
    """Agreeing to rules that let more be seen."""

    scopes: ClassVar[dict[str, str]] = {"POST": "steward"}

    @extend_schema(
        operation_id="confirm_generalisation_rules",
        tags=["review"],
        summary="Put rules of another steward into force that let more be seen",
        request=None,
        responses={
            200: json_body("The setting.", _SETTING),
            **problems(400, 401, 403, 404, 409, 415, 429),
        },
    )
    def post(self, request: Request, number: int) -> Response:
        """Confirm rules.

        Raises
        ------
        Problem
            If there are none of this number, or they can't be confirmed by this steward.
        """
        steward = self.steward_of(request)
        require_known(request.query_params, [])
        setting = GeneralisationSetting.objects.filter(pk=number).first()
        code = "not-found"
        if setting is None:
            raise Problem(code)
        code = "wrong-state"
        try:
            confirm_rules(setting=setting, by=f"reviewer {steward.code}", at=timezone.now())
        except NotConfirmable as error:
            raise Problem(code, str(error)) from error
        return Response(_shape(GeneralisationSetting.objects.get(pk=number)))


def _in_force(found: RulesInForce) -> dict[str, Any]:
    return {
        "setting": None if found.setting is None else found.setting.pk,
        "rules": found.rules.as_dict(),
    }


def _shape(setting: GeneralisationSetting) -> dict[str, Any]:
    since = in_force_since(setting)
    confirmation = getattr(setting, "confirmation", None)
    return {
        "id": setting.pk,
        "author": setting.author,
        "reason": setting.reason,
        "made_at": _instant(setting.made_at),
        "state": "waits for a second steward" if since is None else "in force",
        "in_force_since": _instant(since),
        "confirmed_by": None if confirmation is None else confirmation.author,
        "changes": [asdict(change) for change in changes_of(setting)],
    }


def _instant(at: datetime | None) -> str | None:
    return None if at is None else f"{at:%Y-%m-%dT%H:%M:%SZ}"
