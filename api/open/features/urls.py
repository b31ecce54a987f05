"""Addresses of the features."""

from django.urls import path

from api.open.features import views

urlpatterns = [
    path("", views.LandingView.as_view()),
    path("/conformance", views.ConformanceView.as_view()),
    path("/api", views.DefinitionView.as_view()),
    path("/collections", views.CollectionsView.as_view()),
    path("/collections/<str:name>", views.CollectionView.as_view()),
    path("/collections/<str:name>/schema", views.SchemaView.as_view()),
    path("/collections/<str:name>/items", views.ItemsView.as_view()),
    path("/collections/<str:name>/items/<uuid:record_id>", views.ItemView.as_view()),
]
