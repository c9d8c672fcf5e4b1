from django.urls import path

from sessions.feeds import views

urlpatterns = [path("<str:token>.ics", views.feed, name="feed")]
