"""Addresses of the whole site."""

from django.urls import include, path

urlpatterns = [
    path("", include("portal.public_urls")),
    path("", include("portal.personal.urls")),
    path("", include("api.private_urls")),
]
handler400 = "api.errors.bad_request"
handler404 = "api.errors.not_found"
handler500 = "api.errors.server_error"
