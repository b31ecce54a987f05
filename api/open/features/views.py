"""The resources of the face; each answers as JSON and as a small page."""

from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request

from api.errors import Problem
from api.negotiation import ViewChooses
from api.open.features import documents
from api.open.features.calls import Call, answered, read_call, require_plain
from api.open.features.collections import COLLECTIONS, Collection
from api.open.features.definition import JSON_SCHEMA, OPENAPI, definition
from api.open.features.items import page_of_features, single_feature
from api.open.features.pages import Sheet
from api.open.features.parameters import read_items_query
from api.open.features.properties import feature_schema
from api.open.formats import GEOJSON, JSON
from api.open.views import OpenView


class FeaturesView(OpenView):
    """A resource of the face, which has its own definition at ``/features/api``."""

    content_negotiation_class = ViewChooses


def _plain_call(request: Request, path: str, media_type: str = JSON) -> Call:
    call = read_call(request, path, media_type)
    require_plain(request)
    return call


def _collection(name: str) -> Collection:
    found = COLLECTIONS.get(name)
    if found is None:
        code = "not-found"
        raise Problem(code, "There is no such collection.", allowed=sorted(COLLECTIONS))
    return found


class LandingView(FeaturesView):
    """The way in."""

    @extend_schema(exclude=True)
    def get(self, request: Request) -> HttpResponse:
        """Answer where to go."""
        call = _plain_call(request, "")
        return answered(call, Sheet("landing.html"), lambda: documents.landing(call))


class ConformanceView(FeaturesView):
    """What of the standard holds here."""

    @extend_schema(exclude=True)
    def get(self, request: Request) -> HttpResponse:
        """Answer the conformance classes."""
        call = _plain_call(request, "/conformance")
        return answered(call, Sheet("conformance.html"), lambda: documents.conformance(call))


class DefinitionView(FeaturesView):
    """The definition of the face."""

    @extend_schema(exclude=True)
    def get(self, request: Request) -> HttpResponse:
        """Answer the definition in OpenAPI 3.0."""
        call = _plain_call(request, "/api", OPENAPI)
        return answered(call, Sheet("definition.html"), definition)


class CollectionsView(FeaturesView):
    """All collections."""

    @extend_schema(exclude=True)
    def get(self, request: Request) -> HttpResponse:
        """Answer the collections with their extents."""
        call = _plain_call(request, "/collections")
        return answered(call, Sheet("collections.html"), lambda: documents.collections(call))


class CollectionView(FeaturesView):
    """One collection."""

    @extend_schema(exclude=True)
    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer the collection."""
        found = _collection(name)
        call = _plain_call(request, f"/collections/{name}")
        return answered(call, Sheet("collection.html"), lambda: documents.collection(call, found))


class SchemaView(FeaturesView):
    """What a feature of a collection holds."""

    @extend_schema(exclude=True)
    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer the JSON Schema."""
        found = _collection(name)
        call = _plain_call(request, f"/collections/{name}/schema", JSON_SCHEMA)
        return answered(call, Sheet("schema.html", found), lambda: feature_schema(found, call.here))


class ItemsView(FeaturesView):
    """The features of a collection."""

    @extend_schema(exclude=True)
    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer a page of features."""
        found = _collection(name)
        call = read_call(request, f"/collections/{name}/items", GEOJSON)
        query = read_items_query(request.query_params, found)
        sheet = Sheet("items.html", found, carries_time=True)
        return answered(call, sheet, lambda: page_of_features(call, found, query))


class ItemView(FeaturesView):
    """One feature."""

    @extend_schema(exclude=True)
    def get(self, request: Request, name: str, record_id: UUID) -> HttpResponse:
        """Answer the feature, or the tombstone of its record."""
        found = _collection(name)
        call = _plain_call(request, f"/collections/{name}/items/{record_id}", GEOJSON)
        query = read_items_query(request.query_params, found)
        feature = single_feature(call, found, query, record_id)
        return answered(call, Sheet("item.html", found), lambda: feature)
