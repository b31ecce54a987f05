"""Addresses of the API."""

from django.urls import include, path

from api.document import openapi_document
from api.problem_pages import problem_page

urlpatterns = [
    path("api/v1", include("api.open.urls")),
    path("api/v1/openapi.json", openapi_document, name="openapi"),
    path("api/v1/partner/", include("api.partners.urls")),
    path("api/v1/review/", include("api.review.urls")),
    path("problems/<str:code>", problem_page),
    path("", include("api.harvest.urls")),
]
