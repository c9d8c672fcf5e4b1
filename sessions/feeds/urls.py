from django.urls import path

from club.mail.views import choose_mail
from sessions.feeds import views

urlpatterns = [
    path("", views.calendar, name="calendar"),
    path("new/", views.make_calendar, name="make_calendar"),
    path("<uuid:calendar>/revoke/", views.revoke_calendar, name="revoke_calendar"),
    path("mail/", choose_mail, name="choose_mail"),
]
