"""Our open faces, and beside them the same rows by DRF as it is used out of the box."""

from typing import Any

from django.http import HttpResponse
from django.urls import URLPattern, URLResolver, path
from rest_framework.generics import ListAPIView
from rest_framework.pagination import LimitOffsetPagination
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import ModelSerializer
from rest_framework.views import APIView

from portal.public_urls import urlpatterns as ours
from portal.records.fields import field_names
from portal.records.models import PublishedCount


class _Counts(ModelSerializer[PublishedCount]):
    class Meta:
        model = PublishedCount
        fields = field_names("counts")


class _Offsets(LimitOffsetPagination):
    default_limit = 100


class OffsetPages(ListAPIView[PublishedCount]):
    """Model view, model serializer, offset pages with a total."""

    permission_classes = [AllowAny]
    serializer_class = _Counts
    pagination_class = _Offsets
    queryset = PublishedCount.objects.at(1).order_by("sampled_first_on", "id")


class KeysetPage(APIView):
    """A first page by key, of plain values."""

    permission_classes = [AllowAny]

    def get(self, request: Request) -> HttpResponse:
        """Answer so many rows."""
        rows: Any = PublishedCount.objects.at(1).order_by("sampled_first_on", "id")
        limit = int(request.query_params["limit"])
        return Response({"data": list(rows.values(*field_names("counts"))[:limit])})


urlpatterns: list[URLPattern | URLResolver] = [
    path("plain/offset", OffsetPages.as_view()),
    path("plain/keyset", KeysetPage.as_view()),
    *ours,
]
