"""Addresses of the public pages."""

from django.urls import path
from drf_spectacular.views import SpectacularSwaggerSplitView

from portal.pages import crawling, snapshots, views

urlpatterns = [
    path("", views.home, name="home"),
    path("docs", SpectacularSwaggerSplitView.as_view(url="/api/v1/openapi.json"), name="docs"),
    path("releases/<int:number>", views.release, name="release"),
    path("protocols/<str:key>/<str:version>", views.protocol, name="protocol"),
    path("snapshots/<str:snapshot_id>", snapshots.snapshot, name="snapshot"),
    path("dataset", views.dataset, name="dataset"),
    path("sitemap.xml", crawling.sitemap, name="sitemap"),
    path("robots.txt", crawling.robots, name="robots"),
    path("terms", views.terms, name="terms"),
    path("changes", views.changes, name="changes"),
]
