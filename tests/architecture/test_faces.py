"""Every address stands on one listed face, and each face has its own guard."""

from typing import Any

import pytest
from django.urls import resolve
from rest_framework.permissions import AllowAny

from api.harvest.access import HarvesterOnly, HarvesterToken, RegistrationThrottle
from api.harvest.oai.views import OaiView, OpenByPost
from api.open.snapshots import SnapshotThrottle
from api.permissions import NobodyUnlessStated, Open
from api.throttling import OpenThrottle, TokenThrottle
from api.tokens import BearerToken, GroupScope, ReviewerScope
from api.vetted.access import GrantHolder, GrantToken
from tests.api.partners.test_access import PARTNER_DOORS, REVIEW_DOORS
from tests.architecture.doors import DOORS, PUBLIC_FACES, UNKNOWN, routes, view_class

MODULES = {
    "partner": "api.partners",
    "review": "api.review",
    "open": "api.open",
    "harvest": "api.harvest",
}
FOUND = dict(routes())


def test_every_address_is_listed() -> None:
    assert set(FOUND) == set(DOORS), "list a new address in tests/architecture/doors.py"


@pytest.mark.parametrize("route", [route for route in DOORS if DOORS[route].face in PUBLIC_FACES])
def test_every_public_address_has_examples(route: str) -> None:
    assert DOORS[route].examples


def classes(*faces: str) -> list[Any]:
    found = [(route, view_class(entry)) for route, entry in FOUND.items() if route in DOORS]
    return [
        pytest.param(cls, id=route)
        for route, cls in found
        if cls is not None and DOORS[route].face in faces
    ]


@pytest.mark.parametrize("cls", classes("open", "harvest"))
def test_open_view_reads_only_and_asks_for_no_token(cls: Any) -> None:
    assert cls.authentication_classes == []
    assert cls.throttle_classes
    assert cls.__module__.startswith(("api.open", "api.harvest"))
    if cls is OaiView:  # the protocol lets the same question be asked by GET and by POST
        assert cls.permission_classes == [OpenByPost]
        assert not {"put", "patch", "delete"} & set(dir(cls))
    else:
        assert cls.permission_classes == [Open]
        assert not {"post", "put", "patch", "delete"} & set(dir(cls))


@pytest.mark.parametrize("cls", classes("partner"))
def test_partner_view_takes_tokens_of_groups_only(cls: Any) -> None:
    assert cls.authentication_classes == [BearerToken]
    assert cls.permission_classes == [GroupScope]
    assert cls.__module__.startswith("api.partners")
    _each_method_has_a_scope(cls, {"read", "submit", "withdraw", "coordinate"})


@pytest.mark.parametrize("cls", classes("review"))
def test_review_view_takes_tokens_of_reviewers_only(cls: Any) -> None:
    assert cls.authentication_classes == [BearerToken]
    assert cls.permission_classes == [ReviewerScope]
    assert cls.__module__.startswith("api.review")
    _each_method_has_a_scope(cls, {"review", "steward"})


def test_vetted_view_takes_tokens_of_grants_only_and_reads_only() -> None:
    (cls,) = [view_class(FOUND[route]) for route in DOORS if DOORS[route].face == "vetted"]

    assert cls.authentication_classes == [GrantToken]
    assert cls.permission_classes == [GrantHolder]
    assert cls.throttle_classes == [TokenThrottle]
    assert cls.__module__.startswith("api.vetted")
    assert not {"post", "put", "patch", "delete"} & set(dir(cls))


def test_harvesters_open_their_own_addresses_only_and_register_within_a_limit() -> None:
    doors = [route for route in DOORS if DOORS[route].face == "harvester"]
    guards = {
        route: (cls.authentication_classes, cls.permission_classes, cls.throttle_classes)
        for route in doors
        if (cls := view_class(FOUND[route]))
    }

    own = ([HarvesterToken], [HarvesterOnly], [OpenThrottle])
    assert guards == {
        "api/v1/harvesters": ([], [AllowAny], [RegistrationThrottle]),
        "api/v1/harvesters/me": own,
        "api/v1/harvesters/me/acknowledgements": own,
    }


def test_anybody_may_freeze_a_query_within_a_limit() -> None:
    (route,) = (route for route in DOORS if DOORS[route].face == "freezing")
    cls = view_class(FOUND[route])

    guards = (cls.authentication_classes, cls.permission_classes, cls.throttle_classes)
    assert guards == ([], [AllowAny], [SnapshotThrottle])
    assert not {"get", "put", "patch", "delete"} & set(dir(cls))


def test_anybody_may_read_the_shape_of_what_partners_send() -> None:
    (route,) = (route for route in DOORS if DOORS[route].face == "shape")
    cls = view_class(FOUND[route])

    guards = (cls.authentication_classes, cls.permission_classes, cls.throttle_classes)
    assert guards == ([], [Open], [OpenThrottle])
    assert cls.__module__.startswith("api.partners")
    assert not {"post", "put", "patch", "delete"} & set(dir(cls))


def _each_method_has_a_scope(cls: Any, scopes: set[str]) -> None:
    methods = {
        name.upper() for name in ("get", "post", "put", "patch", "delete") if hasattr(cls, name)
    }
    assert methods
    assert methods <= set(cls.scopes)
    assert set(cls.scopes.values()) <= scopes


def test_view_that_states_nothing_is_closed(settings: Any) -> None:
    assert settings.REST_FRAMEWORK["DEFAULT_PERMISSION_CLASSES"] == [
        "api.permissions.NobodyUnlessStated"
    ]
    assert settings.REST_FRAMEWORK["DEFAULT_AUTHENTICATION_CLASSES"] == []
    nobody: Any = None
    assert NobodyUnlessStated().has_permission(nobody, nobody) is False


def test_only_the_documentation_lets_everybody_in_by_the_library(settings: Any) -> None:
    library = [
        route
        for route, entry in FOUND.items()
        if view_class(entry) is not None and not view_class(entry).__module__.startswith("api.")
    ]

    assert library == ["docs"]
    assert settings.SPECTACULAR_SETTINGS["SERVE_PERMISSIONS"] == [
        f"{AllowAny.__module__}.{AllowAny.__name__}"
    ]


def test_every_closed_address_is_tried_by_every_caller() -> None:
    """The table of doors in tests/api/partners/test_access.py must know all of them."""
    closed = {route for route in FOUND if route.startswith(("api/v1/partner/", "api/v1/review/"))}

    tried = {
        resolve(door.address.replace("SUBMISSION", UNKNOWN)).route
        for door in PARTNER_DOORS + REVIEW_DOORS
    }

    assert tried == closed
