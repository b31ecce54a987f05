"""Addresses by which a harvester registers and confirms."""

from django.urls import path

from api.harvest.harvesters import AcknowledgementsView, HarvestersView, MeView

urlpatterns = [
    path("", HarvestersView.as_view()),
    path("/me", MeView.as_view()),
    path("/me/acknowledgements", AcknowledgementsView.as_view()),
]
