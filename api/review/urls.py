"""Addresses for reviewers and stewards."""

from django.urls import path

from api.review import calibrations, confusion, queue, views, visits
from api.review.agreement import AgreementView
from api.review.check_settings import CheckSettingsView
from api.review.doubles import DoublesView, VerdictView
from api.review.generalisation import RulesConfirmationView, RulesView
from api.review.grants import GrantEndView, GrantsView
from api.review.harvesters import HarvestersView
from api.review.notes import NoteApprovalView, NoteView
from api.review.photos import PhotoDecisionView, PhotoFileView, PhotosView
from api.review.sensitivities import SensitivitiesView

urlpatterns = [
    path("waiting", queue.QueueView.as_view()),
    path("reasons", views.ReasonsView.as_view()),
    path("visits/<str:group_code>/<str:client_ref>", visits.VisitView.as_view()),
    path("visits/<str:group_code>/<str:client_ref>/claim", visits.ClaimView.as_view()),
    path("visits/<str:group_code>/<str:client_ref>/decision", visits.DecisionView.as_view()),
    path("visits/<str:group_code>/<str:client_ref>/note", NoteView.as_view()),
    path("visits/<str:group_code>/<str:client_ref>/note/approval", NoteApprovalView.as_view()),
    path("agreement", AgreementView.as_view()),
    path("doubles", DoublesView.as_view()),
    path("doubles/<int:number>/verdict", VerdictView.as_view()),
    path("check-settings", CheckSettingsView.as_view()),
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
