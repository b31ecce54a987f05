"""Addresses for partner groups."""

from django.urls import path

from api.partners import participants, reliability, results, views

urlpatterns = [
    path("me", views.MeView.as_view()),
    path("submissions", views.SubmissionsView.as_view()),
    path("submissions/<uuid:key>", views.SubmissionView.as_view()),
    path("protocols", views.ProtocolsView.as_view()),
    path("visits", views.VisitsView.as_view()),
    path("visits/<str:client_ref>", views.VisitView.as_view()),
    path("visits/<str:client_ref>/withdrawal", views.WithdrawalView.as_view()),
    path("visits/<str:client_ref>/appeal", views.AppealView.as_view()),
    path("visits/<str:client_ref>/result", results.ResultView.as_view()),
    path("participants/<str:code>", participants.ParticipantView.as_view()),
    path("participants/<str:code>/withdrawal", participants.ParticipantWithdrawalView.as_view()),
    path("participants/<str:code>/reliability", reliability.ReliabilityView.as_view()),
]
