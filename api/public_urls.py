"""Addresses of the API that everybody may read."""

from django.urls import include, path

from api.document import openapi_document
from api.problem_pages import problem_page

urlpatterns = [
    path("api/v1", include("api.open.urls")),
    path("api/v1/openapi.json", openapi_document, name="openapi"),
    path("features", include("api.open.features.urls")),
    path("problems/<str:code>", problem_page),
    path("", include("api.harvest.urls")),
]
