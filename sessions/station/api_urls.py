"""Addresses of the API below /api/v1/clubs/<club>/practices/."""

from django.urls import path

from sessions.station.api import BundleView, CardsView

urlpatterns = [
    path("<uuid:practice>/bundle/", BundleView.as_view(), name="api_bundle"),
    path("<uuid:practice>/bundle/cards/", CardsView.as_view(), name="api_bundle_cards"),
]
