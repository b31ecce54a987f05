"""Addresses of the API behind a token, and the shape of what goes in there."""

from django.urls import include, path

from api.partners.protocol_schemas import ProtocolSchemaView

urlpatterns = [
    path("api/v1/partner/", include("api.partners.urls")),
    path("api/v1/protocols/<str:key>/<str:version>/schema", ProtocolSchemaView.as_view()),
    path("api/v1/review/", include("api.review.urls")),
    path("api/v1/vetted/", include("api.vetted.urls")),
    path("api/v1/harvesters", include("api.harvest.account_urls")),
]
