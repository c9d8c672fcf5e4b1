"""Addresses below /c/<club>/practices/<practice>/fill/."""

from django.urls import path

from sessions.planning import views

urlpatterns = [
    path("", views.fill_plan, name="fill_plan"),
    path("<uuid:fill>/back/", views.take_back_fill, name="take_back_fill"),
]
