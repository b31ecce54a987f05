"""Parameters of checks, set by stewards in place of those printed in a protocol."""

from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.parameters import require_known
from api.review.reading import read_body
from api.review.shapes import instant
from api.review.stewards import StewardView
from api.schema import json_body, problems
from surveys.protocol.check_settings import ParametersWrong, set_checks
from surveys.protocol.models import CheckSetting
from surveys.protocol.queries import all_versions, checked_with, protocol_named, protocol_names

_SETTING: dict[str, Any] = {
    "id": {"type": "integer"},
    "protocol": {"type": "string"},
    "parameters": {"type": "object"},
    "author": {"type": "string"},
    "reason": {"type": "string"},
    "made_at": {"type": "string", "format": "date-time"},
}


class CheckSettingIn(BaseModel):
    """The parameters that differ from the protocol's own; none of them returns to those."""

    model_config = ConfigDict(extra="forbid")

    protocol: str = Field(max_length=80, description="Key and version.")
    parameters: dict[str, int | list[int]] = Field(max_length=20)
    reason: str = Field(min_length=1, max_length=500)


class CheckSettingsView(StewardView):
    """Reading and setting parameters."""

    scopes: ClassVar[dict[str, str]] = StewardView.scopes | {"POST": "steward"}

    @extend_schema(
        operation_id="read_check_settings",
        tags=["review"],
        summary="Parameters of the checks in force for each protocol, and their history",
        responses={200: json_body("Parameters and history."), **problems(400, 401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer the parameters."""
        self.steward_of(request)
        require_known(request.query_params, [])
        now = timezone.now()
        return Response(
            {
                "in_force": {
                    str(version): checked_with(version, now).checks.model_dump(mode="json")
                    for version in all_versions()
                },
                "history": [_shape(one) for one in CheckSetting.objects.order_by("-id")],
            }
        )

    @extend_schema(
        operation_id="set_check_parameters",
        tags=["review"],
        summary="Set parameters of the checks of a protocol, for what is checked from now on",
        description=(
            "What was checked before keeps its outcomes, each with the setting by which it came "
            "about. The command rerunchecks checks stored visits again beside them."
        ),
        request=CheckSettingIn,
        responses={
            201: json_body("The setting.", _SETTING),
            **problems(400, 401, 403, 415, 422, 429),
        },
    )
    def post(self, request: Request) -> Response:
        """Set parameters.

        Raises
        ------
        Problem
            If there is no such protocol, or a parameter is wrong.
        """
        steward = self.steward_of(request)
        require_known(request.query_params, [])
        sent = read_body(request, CheckSettingIn)
        protocol, code = protocol_named(sent.protocol), "invalid-records"
        if protocol is None:
            raise Problem(code, f"protocol: one of {', '.join(protocol_names())}.")
        try:
            made = set_checks(
                protocol=protocol,
                parameters=sent.parameters,
                author=f"reviewer {steward.code}",
                reason=sent.reason,
                at=timezone.now(),
            )
        except ParametersWrong as error:
            raise Problem(code, f"parameters/{error}") from error
        return Response(_shape(made), status=201)


def _shape(setting: CheckSetting) -> dict[str, Any]:
    return {
        "id": setting.pk,
        "protocol": str(setting.protocol),
        "parameters": setting.parameters,
        "author": setting.author,
        "reason": setting.reason,
        "made_at": instant(setting.made_at),
    }
