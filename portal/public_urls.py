"""Addresses of a process that serves the public side alone, under the reader's database role."""

from django.urls import include, path

urlpatterns = [
    path("", include("portal.pages.urls")),
    path("", include("api.public_urls")),
]
handler400 = "api.errors.bad_request"
handler404 = "api.errors.not_found"
handler500 = "api.errors.server_error"
