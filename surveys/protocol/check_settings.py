"""Set parameters of checks in place of a protocol's own; what held before stays readable."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from pydantic import ValidationError

from surveys.audit.operations import record
from surveys.protocol.definition import CheckParameters
from surveys.protocol.models import CheckSetting, ProtocolVersion


class ParametersWrong(Exception):  # noqa: N818 -- reads as what happened
    """A parameter that no check has, or a value that it can't have."""


@transaction.atomic
def set_checks(
    *,
    protocol: ProtocolVersion,
    parameters: Mapping[str, Any],
    author: str,
    reason: str,
    at: datetime,
) -> CheckSetting:
    """Let parameters hold for what is checked from now on; those left out are the protocol's own.

    Raises
    ------
    ParametersWrong
        Naming the first wrong parameter and the known ones.
    """
    try:
        CheckParameters.model_validate({**protocol.read().checks.model_dump(), **parameters})
    except ValidationError as error:
        wrong = error.errors()[0]
        known = ", ".join(CheckParameters.model_fields)
        msg = f"{wrong['loc'][0]}: {wrong['msg']}. Parameters are {known}."
        raise ParametersWrong(msg) from error
    record(
        actor=author,
        action="checks set",
        kind="protocol",
        key=str(protocol),
        at=at,
        parameters=dict(parameters),
    )
    return CheckSetting.objects.create(
        protocol=protocol, parameters=dict(parameters), author=author, reason=reason, made_at=at
    )
