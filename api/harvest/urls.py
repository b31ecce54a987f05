"""Addresses for harvesters."""

from django.urls import path

from api.harvest.catalogue import CatalogueView, CitationView
from api.harvest.changes import FeedView
from api.harvest.files import FileView
from api.harvest.oai.views import OaiView
from api.harvest.permanent import PermanentView
from api.harvest.quality import ReleaseQualityView
from api.harvest.releases import ReleaseChangesView, ReleasesView, ReleaseView

urlpatterns = [
    path("api/v1/releases", ReleasesView.as_view()),
    path("api/v1/releases/<int:number>", ReleaseView.as_view()),
    path("api/v1/releases/<int:number>/changes", ReleaseChangesView.as_view()),
    path("api/v1/releases/<int:number>/quality", ReleaseQualityView.as_view()),
    path("api/v1/changes", FeedView.as_view()),
    path("files/<int:release>/<int:build>/<str:name>", FileView.as_view()),
    path("id/<str:kind>/<uuid:record_id>", PermanentView.as_view()),
    path("catalogue", CatalogueView.as_view()),
    path("releases/<int:number>/citation", CitationView.as_view()),
    path("oai", OaiView.as_view()),
]
