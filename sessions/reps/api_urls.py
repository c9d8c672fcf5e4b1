"""Addresses of the API below /api/v1/clubs/<club>/practices/."""

from django.urls import path

from sessions.reps.api import EventsView

urlpatterns = [path("<uuid:practice>/events/", EventsView.as_view(), name="api_events")]
