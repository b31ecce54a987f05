"""Addresses for reviewers and stewards."""

from django.urls import path

from api.review import views

urlpatterns = [
    path("waiting", views.QueueView.as_view()),
    path("reasons", views.ReasonsView.as_view()),
    path("visits/<str:group_code>/<str:client_ref>/decision", views.DecisionView.as_view()),
    path("releases", views.ReleasesView.as_view()),
]
