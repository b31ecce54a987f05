"""Addresses for reviewers and stewards."""

from django.urls import path

from api.review import calibrations, confusion, views
from api.review.harvesters import HarvestersView

urlpatterns = [
    path("waiting", views.QueueView.as_view()),
    path("reasons", views.ReasonsView.as_view()),
    path("visits/<str:group_code>/<str:client_ref>/decision", views.DecisionView.as_view()),
    path("calibrations/results", calibrations.CalibrationResultsView.as_view()),
    path("confusion", confusion.ConfusionView.as_view()),
    path("harvesters", HarvestersView.as_view()),
    path("releases", views.ReleasesView.as_view()),
]
