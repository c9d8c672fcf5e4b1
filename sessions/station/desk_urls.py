"""Addresses below /c/<club>/practices/<practice>/tablets/."""

from django.urls import path

from sessions.station.views import desk

urlpatterns = [
    path("", desk.tablets, name="tablets"),
    path("take-in/", desk.take_in_file, name="take_in_file"),
]
