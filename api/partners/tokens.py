"""A group's tokens, by its coordinator; and clearing what was practised."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any, ClassVar, Literal

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.parsing import body_of, read_body
from api.partners.base import PartnerView
from api.partners.reading import only_known
from api.partners.shapes import told
from api.schema import json_body, problems
from surveys.intake.practice import clear_practice
from surveys.people.coordination import (
    ROLES,
    TokenEnded,
    is_in_force,
    practice_space,
    role_of,
    rotate_token,
)
from surveys.people.models import AccessToken, Group
from surveys.people.operations import issue_token, revoke_token
from surveys.people.queries import token_of_group, tokens_of

BASE = "/api/v1/partner/tokens"
_TOKEN: dict[str, Any] = {
    "prefix": {"type": "string", "description": "The first part of the secret, and its name here."},
    "name": {"type": "string"},
    "role": {"type": "string", "enum": ["submitter", "coordinator"]},
    "scopes": {"type": "array", "items": {"type": "string"}},
    "practice": {"type": "boolean"},
    "state": {"type": "string", "enum": ["in_force", "expired", "revoked"]},
    "created_at": {"type": "string", "format": "date-time"},
    "expires_at": {"type": "string", "format": "date-time"},
    "last_used_at": {"type": ["string", "null"], "format": "date-time"},
    "links": {"type": "object"},
}
_MADE = _TOKEN | {"secret": {"type": "string", "description": "Shown this once."}}


class TokenIn(BaseModel):
    """A token to be made."""

    model_config = ConfigDict(extra="forbid")

    name: str = Field(min_length=1, max_length=80, pattern=r"^[^\x00-\x1f]*$")
    role: Literal["submitter", "coordinator"] = "submitter"
    scopes: list[Literal["read", "submit", "withdraw", "coordinate"]] | None = Field(
        None, min_length=1, description="Fewer than the role holds; null = all of them."
    )
    days: int = Field(365, ge=1, le=730)
    practice: bool = Field(
        default=False, description="Writes to the practice space, of which nothing is published."
    )


class RotationIn(BaseModel):
    """How long the old token goes on."""

    model_config = ConfigDict(extra="forbid")

    overlap_hours: int = Field(24, ge=1, le=720)


class CoordinatorView(PartnerView):
    """For tokens with the scope of a coordinator."""

    scopes: ClassVar[dict[str, str]] = dict.fromkeys(
        ("GET", "HEAD", "OPTIONS", "POST", "DELETE"), "coordinate"
    )

    def own_token(self, request: Request, prefix: str) -> AccessToken:
        """Return a token of the group or of its practice space.

        Raises
        ------
        Problem
            If there is no such token.
        """
        token = token_of_group(self.group_of(request), prefix)
        if token is None:
            code = "not-found"
            raise Problem(code)
        return token


class TokensView(CoordinatorView):
    """All tokens of the group."""

    @extend_schema(
        operation_id="list_tokens",
        tags=["partner"],
        summary="The group's tokens, ended ones too: role, scopes, when last used",
        responses={
            200: json_body(
                "Tokens, without their secrets.",
                {"data": {"type": "array", "items": {"type": "object", "properties": _TOKEN}}},
            ),
            **problems(400, 401, 403, 405, 429),
        },
    )
    def get(self, request: Request) -> Response:
        """Answer the tokens, newest first."""
        only_known(request)
        now = timezone.now()
        return Response(
            {"data": [_shown(token, now) for token in tokens_of(self.group_of(request))]}
        )

    @extend_schema(
        operation_id="make_token",
        tags=["partner"],
        summary="Make a token; its secret is shown this once",
        request=TokenIn,
        responses={
            201: json_body("The token and its secret.", _MADE),
            **problems(400, 401, 403, 405, 413, 415, 422, 429),
        },
    )
    def post(self, request: Request) -> Response:
        """Make a token."""
        only_known(request)
        wanted = read_body(TokenIn, request)
        group, now = self.group_of(request), timezone.now()
        token, secret = issue_token(
            holder=practice_space(group) if wanted.practice else group,
            name=wanted.name,
            scopes=_scopes(wanted),
            at=now,
            lifetime_days=wanted.days,
            by=_actor(group),
        )
        return _made(token, secret, now)


class TokenView(CoordinatorView):
    """One token."""

    @extend_schema(
        operation_id="revoke_token",
        tags=["partner"],
        summary="End a token at once",
        responses={204: None, **problems(400, 401, 403, 404, 405, 429)},
    )
    def delete(self, request: Request, prefix: str) -> Response:
        """Revoke a token; one that is revoked stays so."""
        only_known(request)
        token = self.own_token(request, prefix)
        if token.revoked_at is None:
            revoke_token(token=token, at=timezone.now(), by=_actor(self.group_of(request)))
        return Response(status=204)


class RotationView(CoordinatorView):
    """The change from one token to the next."""

    @extend_schema(
        operation_id="rotate_token",
        tags=["partner"],
        summary="Make a like token; the old one goes on for some hours",
        request=RotationIn,
        responses={
            201: json_body("The new token and its secret.", _MADE),
            **problems(400, 401, 403, 404, 405, 409, 413, 415, 422, 429),
        },
    )
    def post(self, request: Request, prefix: str) -> Response:
        """Rotate a token.

        Raises
        ------
        Problem
            If the token has ended already.
        """
        only_known(request)
        token = self.own_token(request, prefix)
        wanted = read_body(RotationIn, request) if body_of(request) else RotationIn()
        now = timezone.now()
        try:
            made, secret = rotate_token(
                token=token,
                overlap=timedelta(hours=wanted.overlap_hours),
                at=now,
                by=_actor(self.group_of(request)),
            )
        except TokenEnded as error:
            code = "wrong-state"
            raise Problem(code, str(error)) from error
        return _made(made, secret, now)


class PracticeView(PartnerView):
    """The group's practice space."""

    practises = True
    scopes: ClassVar[dict[str, str]] = {"DELETE": "submit"}

    @extend_schema(
        operation_id="clear_practice",
        tags=["partner"],
        summary="Delete all that was practised; real records are not touched",
        responses={
            200: json_body("What went.", {"visits": {"type": "integer"}}),
            **problems(400, 401, 403, 405, 429),
        },
    )
    def delete(self, request: Request) -> Response:
        """Clear the practice space."""
        only_known(request)
        group = self.group_of(request)
        gone = clear_practice(group=group.practice_of or group, at=timezone.now())
        return Response({"visits": gone})


def _scopes(wanted: TokenIn) -> list[str]:
    """Return the scopes of a token to be made.

    Raises
    ------
    Problem
        If the role holds fewer, or practice is to be coordinated.
    """
    held = ROLES["submitter" if wanted.practice else wanted.role]
    scopes = held if wanted.scopes is None else tuple(dict.fromkeys(wanted.scopes))
    beyond: Iterable[str] = set(scopes) - set(held)
    if (wanted.practice and wanted.role != "submitter") or beyond:
        code = "invalid-records"
        allowed = "the role submitter" if wanted.practice else f"scopes of a {wanted.role}"
        raise Problem(
            code,
            errors=[
                {
                    "pointer": "/scopes" if beyond else "/role",
                    "code": "word-unknown",
                    "severity": "error",
                    "message": f"Such a token takes {allowed}: {', '.join(held)}.",
                    "received": ", ".join(sorted(beyond)) or wanted.role,
                    "allowed": ", ".join(held),
                }
            ],
        )
    return list(scopes)


def _actor(group: Group) -> str:
    return f"group {group.code}"


def _made(token: AccessToken, secret: str, now: datetime) -> Response:
    return Response(_shown(token, now) | {"secret": secret}, status=201)


def _shown(token: AccessToken, now: datetime) -> dict[str, Any]:
    ended = "revoked" if token.revoked_at else "expired"
    return {
        "prefix": token.prefix,
        "name": token.name,
        "role": role_of(token.scopes),
        "scopes": token.scopes,
        "practice": token.group is not None and token.group.practice_of_id is not None,
        "state": "in_force" if is_in_force(token, now) else ended,
        "created_at": told(token.created_at),
        "expires_at": told(token.expires_at),
        "last_used_at": told(token.last_used_at) if token.last_used_at else None,
        "links": {"self": address(f"{BASE}/{token.prefix}")},
    }
