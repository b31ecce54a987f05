"""Addresses for vetted researchers."""

from django.urls import path

from api.vetted.views import PlacesView

urlpatterns = [path("places", PlacesView.as_view())]
