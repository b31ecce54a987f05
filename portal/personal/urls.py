"""Addresses of a participant's own pages."""

from django.urls import path

from portal.personal import views

urlpatterns = [
    path("my/<str:token>", views.own_page),
    path("my/<str:token>/withdrawal", views.withdrawal),
    path("my/<str:token>/withdrawn", views.withdrawn),
    path("my/<str:token>/data.json", views.data),
    path("my/<str:token>/taking-back", views.taking_back),
    path("my/<str:token>/erasure", views.erasure),
    path("my/<str:token>/receipts.json", views.receipts),
]
