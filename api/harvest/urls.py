"""Addresses for harvesters."""

from django.urls import path

from api.harvest import views

urlpatterns = [
    path("api/v1/releases", views.ReleasesView.as_view()),
    path("api/v1/releases/<int:number>", views.ReleaseView.as_view()),
    path("api/v1/releases/<int:number>/changes", views.ChangesView.as_view()),
    path("files/<int:release>/<int:build>/<str:name>", views.FileView.as_view()),
    path("id/<str:kind>/<uuid:record_id>", views.PermanentView.as_view()),
]
