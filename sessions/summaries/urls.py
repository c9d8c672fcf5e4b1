"""Addresses below /c/<club>/summaries/."""

from django.urls import path

from sessions.summaries import views

urlpatterns = [
    path("", views.summaries, name="summaries"),
    path("ask/", views.ask_summaries, name="ask_summaries"),
    path("approve/", views.approve_summaries, name="approve_summaries"),
    path("take-back/", views.take_back_summaries, name="take_back_summaries"),
    path("<uuid:summary>/", views.summary, name="summary"),
    path("<uuid:summary>/edit/", views.edit_summary, name="edit_summary"),
    path("<uuid:summary>/pdf/", views.summary_pdf, name="summary_pdf"),
]
