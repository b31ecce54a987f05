"""Addresses for partner groups."""

from django.urls import path

from api.partners import (
    about,
    calibrations,
    consents,
    grants,
    leaving,
    links,
    participants,
    photos,
    reliability,
    results,
    sites,
    submissions,
    visits,
)

urlpatterns = [
    path("me", about.MeView.as_view()),
    path("submissions", submissions.SubmissionsView.as_view()),
    path("submissions/<uuid:key>", submissions.SubmissionView.as_view()),
    path("calibrations", calibrations.CalibrationsView.as_view()),
    path("calibrations/results", calibrations.CalibrationResultsView.as_view()),
    path("calibrations/<str:client_ref>", calibrations.CalibrationView.as_view()),
    path("protocols", about.ProtocolsView.as_view()),
    path("visits", visits.VisitsView.as_view()),
    path("visits/<str:client_ref>", visits.VisitView.as_view()),
    path("visits/<str:client_ref>/withdrawal", leaving.WithdrawalView.as_view()),
    path("visits/<str:client_ref>/appeal", leaving.AppealView.as_view()),
    path("visits/<str:client_ref>/result", results.ResultView.as_view()),
    path("visits/<str:client_ref>/photos", photos.PhotosView.as_view()),
    path("visits/<str:client_ref>/photos/<uuid:key>", photos.PhotoView.as_view()),
    path("sites/<str:code>", sites.SiteView.as_view()),
    path("sites/<str:code>/exact-permission", sites.ExactPermissionView.as_view()),
    path("grants", grants.OwnGrantsView.as_view()),
    path("grants/<uuid:key>/veto", grants.VetoView.as_view()),
    path("participants/<str:code>/exact-reads", grants.ExactReadsView.as_view()),
    path("participants/<str:code>", participants.ParticipantView.as_view()),
    path("participants/<str:code>/withdrawal", participants.ParticipantWithdrawalView.as_view()),
    path("participants/<str:code>/consents", consents.ConsentsView.as_view()),
    path("consent-statements", consents.StatementsView.as_view()),
    path("participants/<str:code>/link", links.LinkView.as_view()),
    path("participants/<str:code>/reliability", reliability.ReliabilityView.as_view()),
]
