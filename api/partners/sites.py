"""A group's sites: correcting where they are, and permission for the exact place."""

from datetime import date, datetime
from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.partners.base import PartnerView
from api.partners.participants import participant_of
from api.partners.reading import json_object, only_known
from api.partners.shapes import documented
from api.schema import json_body, problems
from portal.publication.changed_places import correct_place, end_exact_place
from surveys.intake.payload import Code, Latitude, Longitude
from surveys.intake.reading import read_shape
from surveys.people.models import ConsentEvidence, Group
from surveys.protocol.vocabulary import PlaceDetail, PlaceKind
from surveys.sites.models import ExactPermission, Site
from surveys.sites.operations import CorrectedPlace
from surveys.sites.permissions import PermissionRefused, Term, permit_exact_place
from surveys.sites.queries import blurred_neighbours

GIVES_AWAY = (
    "This household has other sites that are shown blurred ({codes}). Whoever knows whose the "
    "exact place is can guess the others better; tell the household."
)
_SITE = json_body(
    "The site.",
    {
        "code": {"type": "string"},
        "latitude": {"type": "number"},
        "longitude": {"type": "number"},
        "uncertainty_m": {"type": ["number", "null"]},
        "placed_by_hand": {"type": "boolean"},
        "place_kind": {"type": "string", "enum": PlaceKind.values},
        "place_detail": {"type": "string", "enum": PlaceDetail.values},
    },
)
_PERMISSIONS = json_body(
    "Permissions of the site and what to tell its household.",
    {
        "permissions": {"type": "array", "items": {"type": "object"}},
        "warnings": {"type": "array", "items": {"type": "string"}},
    },
)


class PlaceIn(BaseModel):
    """All that is now known of a site."""

    model_config = ConfigDict(extra="forbid")

    latitude: Latitude
    longitude: Longitude
    uncertainty_m: float | None = Field(None, gt=0, le=10_000, allow_inf_nan=False)
    placed_by_hand: bool = False
    place_kind: PlaceKind
    place_detail: PlaceDetail


class PermissionIn(BaseModel):
    """Who permits it, from when, until before which day, and how that can be shown."""

    model_config = ConfigDict(extra="forbid")

    participant: Code
    starts_on: date
    ends_on: date
    evidence: ConsentEvidence


class SiteView(PartnerView):
    """One own site."""

    practises = True

    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {"PUT": "submit"}

    @extend_schema(
        operation_id="read_own_site",
        tags=["partner"],
        summary="One own site, with its exact place",
        responses={200: _SITE, **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request, code: str) -> Response:
        """Answer a site."""
        only_known(request)
        return Response(_site(site_of(self.group_of(request), code)))

    @extend_schema(
        operation_id="correct_site",
        tags=["partner"],
        summary="Correct where or what a site is, or how finely it may be shown",
        description=(
            "Another position or kind of place, or a coarser wish, takes the site's published "
            "records out at once; they come back under new ids with the next release."
        ),
        request=PlaceIn,
        responses={200: _SITE, **problems(400, 401, 403, 404, 415, 422, 429)},
    )
    def put(self, request: Request, code: str) -> Response:
        """Correct a site.

        Raises
        ------
        Problem
            If the site is unknown or the body has an error.
        """
        only_known(request)
        site = site_of(self.group_of(request), code)
        sent, faults = read_shape(PlaceIn, json_object(request))
        if sent is None:
            invalid = "invalid-records"
            raise Problem(invalid, **documented(faults))
        withdrawn = correct_place(
            site=site,
            place=CorrectedPlace(
                latitude=sent.latitude,
                longitude=sent.longitude,
                uncertainty_m=sent.uncertainty_m,
                placed_by_hand=sent.placed_by_hand,
                place_kind=sent.place_kind.value,
                place_detail=sent.place_detail.value,
            ),
            at=timezone.now(),
            by=f"group {site.group.code}",
        )
        return Response(_site(site) | {"public_records_withdrawn": withdrawn})


class ExactPermissionView(PartnerView):
    """Permission to show a site where it is."""

    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {
        "PUT": "submit",
        "DELETE": "withdraw",
    }

    @extend_schema(
        operation_id="read_exact_permission",
        tags=["partner"],
        summary="The permissions to show a site where it is, ended ones included",
        responses={200: _PERMISSIONS, **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request, code: str) -> Response:
        """Answer the permissions of a site."""
        only_known(request)
        return Response(_permissions(site_of(self.group_of(request), code), timezone.now()))

    @extend_schema(
        operation_id="permit_exact_place",
        tags=["partner"],
        summary="Store a participant's permission to show a site where it is",
        description=(
            "Holds from the next release in its term on, once everybody who recorded at the site "
            "and its owner gave it. School grounds are never shown where they are."
        ),
        request=PermissionIn,
        responses={200: _PERMISSIONS, **problems(400, 401, 403, 404, 409, 415, 422, 429)},
    )
    def put(self, request: Request, code: str) -> Response:
        """Store a permission.

        Raises
        ------
        Problem
            If site or participant is unknown, or the permission can't be taken.
        """
        only_known(request)
        group, now = self.group_of(request), timezone.now()
        site = site_of(group, code)
        sent, faults = read_shape(PermissionIn, json_object(request))
        if sent is None:
            invalid = "invalid-records"
            raise Problem(invalid, **documented(faults))
        try:
            permit_exact_place(
                site=site,
                participant=participant_of(group, sent.participant),
                term=Term(sent.starts_on, sent.ends_on, sent.evidence.value),
                at=now,
                by=f"group {group.code}",
            )
        except PermissionRefused as error:
            wrong = "wrong-state"
            raise Problem(wrong, str(error)) from error
        return Response(_permissions(site, now))

    @extend_schema(
        operation_id="end_exact_permission",
        tags=["partner"],
        summary="End every permission for a site at once",
        description="Rows shown where they are go at once and come back blurred with a release.",
        responses={200: _PERMISSIONS, **problems(400, 401, 403, 404, 429)},
    )
    def delete(self, request: Request, code: str) -> Response:
        """End the permissions of a site."""
        only_known(request)
        group, now = self.group_of(request), timezone.now()
        site = site_of(group, code)
        withdrawn = end_exact_place(site=site, at=now, by=f"group {group.code}")
        return Response(_permissions(site, now) | {"public_records_withdrawn": withdrawn})


def site_of(group: Group, code: str) -> Site:
    """Return one of the group's own sites.

    Raises
    ------
    Problem
        If the group has no such site; another group's is as unknown as none.
    """
    site = group.sites.select_related("owner", "group").filter(code=code).first()
    if site is None:
        unknown = "not-found"
        raise Problem(unknown)
    return site


def _site(site: Site) -> dict[str, Any]:
    return {
        "code": site.code,
        "latitude": float(site.latitude),
        "longitude": float(site.longitude),
        "uncertainty_m": site.uncertainty_m,
        "placed_by_hand": site.placed_by_hand,
        "place_kind": site.place_kind,
        "place_detail": site.place_detail,
    }


def _permissions(site: Site, at: datetime) -> dict[str, Any]:
    held = list(site.exact_permissions.select_related("participant"))
    in_force = site.exact_permissions.in_force(at).exists()
    others = [other.code for other in blurred_neighbours(site, at)] if in_force else []
    return {
        "permissions": [_permission(permission) for permission in held],
        "warnings": [GIVES_AWAY.format(codes=", ".join(others))] if others else [],
    }


def _permission(permission: ExactPermission) -> dict[str, Any]:
    ended_at = permission.ended_at
    return {
        "participant": permission.participant.code,
        "starts_on": permission.starts_on.isoformat(),
        "ends_on": permission.ends_on.isoformat(),
        "evidence": permission.evidence,
        "ended_at": None if ended_at is None else f"{ended_at:%Y-%m-%dT%H:%M:%SZ}",
    }
