"""Open addresses."""

from django.urls import path

from api.open import about, agreement, comparison, dictionary, planning, snapshots, summary, views

urlpatterns = [
    path("", about.RootView.as_view()),
    path("/visits", views.VisitsView.as_view()),
    path("/visits/<uuid:record_id>", views.VisitView.as_view()),
    path("/pits", views.PitsView.as_view()),
    path("/pits/<uuid:record_id>", views.PitView.as_view()),
    path("/counts", views.CountsView.as_view()),
    path("/counts/<uuid:record_id>", views.CountView.as_view()),
    path("/occurrences", views.OccurrencesView.as_view()),
    path("/summary", summary.SummaryView.as_view()),
    path("/agreement", agreement.AgreementView.as_view()),
    path("/comparison", comparison.ComparisonView.as_view()),
    path("/planning/power", planning.PowerView.as_view()),
    path("/planning/where", planning.WhereView.as_view()),
    path("/snapshots", snapshots.SnapshotsView.as_view()),
    path("/snapshots/<str:snapshot_id>", snapshots.SnapshotView.as_view()),
    path("/snapshots/<str:snapshot_id>/rows", snapshots.SnapshotRowsView.as_view()),
    path("/snapshots/<str:snapshot_id>/check", snapshots.SnapshotCheckView.as_view()),
    path("/snapshots/<str:snapshot_id>/citation", snapshots.SnapshotCitationView.as_view()),
    path("/fields", dictionary.FieldsView.as_view()),
    path("/fields/<str:name>", dictionary.FieldView.as_view()),
    path("/vocabularies", dictionary.VocabulariesView.as_view()),
    path("/vocabularies/<str:name>", dictionary.VocabularyView.as_view()),
    path("/groups", about.GroupsView.as_view()),
    path("/status", about.StatusView.as_view()),
]
