"""Addresses for reviewers and stewards."""

from django.urls import path

from api.review import calibrations, confusion, views
from api.review.generalisation import RulesConfirmationView, RulesView
from api.review.grants import GrantEndView, GrantsView
from api.review.harvesters import HarvestersView
from api.review.notes import NoteApprovalView, NoteView
from api.review.photos import PhotoDecisionView, PhotoFileView, PhotosView
from api.review.sensitivities import SensitivitiesView

urlpatterns = [
    path("waiting", views.QueueView.as_view()),
    path("reasons", views.ReasonsView.as_view()),
    path("visits/<str:group_code>/<str:client_ref>/decision", views.DecisionView.as_view()),
    path("visits/<str:group_code>/<str:client_ref>/note", NoteView.as_view()),
    path("visits/<str:group_code>/<str:client_ref>/note/approval", NoteApprovalView.as_view()),
    path("photos", PhotosView.as_view()),
    path("photos/<uuid:key>/file", PhotoFileView.as_view()),
    path("photos/<uuid:key>/decision", PhotoDecisionView.as_view()),
    path("calibrations/results", calibrations.CalibrationResultsView.as_view()),
    path("confusion", confusion.ConfusionView.as_view()),
    path("generalisation-rules", RulesView.as_view()),
    path("generalisation-rules/<int:number>/confirmation", RulesConfirmationView.as_view()),
    path("sensitive-taxa", SensitivitiesView.as_view()),
    path("grants", GrantsView.as_view()),
    path("grants/<uuid:key>/end", GrantEndView.as_view()),
    path("harvesters", HarvestersView.as_view()),
    path("releases", views.ReleasesView.as_view()),
]
