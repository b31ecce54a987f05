"""Addresses of the API."""

from django.urls import include, path
from drf_spectacular.views import SpectacularJSONAPIView

from api.problem_pages import problem_page

urlpatterns = [
    path("api/v1", include("api.open.urls")),
    path("api/v1/openapi.json", SpectacularJSONAPIView.as_view(), name="openapi"),
    path("api/v1/partner/", include("api.partners.urls")),
    path("api/v1/review/", include("api.review.urls")),
    path("problems/<str:code>", problem_page),
    path("", include("api.harvest.urls")),
]
