"""Addresses of the API below /api/v1/clubs/<club>/."""

from django.urls import path

from sessions.reps.api import EventsView, HelloView

urlpatterns = [
    path("hello/", HelloView.as_view(), name="api_hello"),
    path("practices/<uuid:practice>/events/", EventsView.as_view(), name="api_events"),
]
