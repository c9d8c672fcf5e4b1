"""Addresses of the API below /api/v1/clubs/<club>/."""

from django.urls import include, path

from club.schema import ClubSchemaView

urlpatterns = [
    path("schema/", ClubSchemaView.as_view(), name="api_schema"),
    path("", include("sessions.reps.api_urls")),
    path("practices/", include("sessions.station.api_urls")),
]
