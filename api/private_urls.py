"""Addresses of the API behind a token."""

from django.urls import include, path

urlpatterns = [
    path("api/v1/partner/", include("api.partners.urls")),
    path("api/v1/review/", include("api.review.urls")),
    path("api/v1/vetted/", include("api.vetted.urls")),
    path("api/v1/harvesters", include("api.harvest.account_urls")),
]
