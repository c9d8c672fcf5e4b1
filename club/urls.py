"""Every address of the site. Each view declares its door (club/doors.py)."""

from django.urls import include, path

from club import health
from club.mail import views as mail
from club.views import account, archive, people, places, screen, site

club_pages = [
    path("", site.club_home, name="club_home"),
    path("club/", site.club_page, name="club_page"),
    path("club/archive/", archive.club_archive, name="club_archive"),
    path("club/duties/<int:duty>/retry/", site.retry_duty, name="retry_duty"),
    path("club/edit/", places.edit_club, name="edit_club"),
    path("venues/new/", places.new_venue, name="new_venue"),
    path("venues/<uuid:venue>/", places.venue, name="venue"),
    path("venues/<uuid:venue>/edit/", places.edit_venue, name="edit_venue"),
    path("venues/<uuid:venue>/area/", places.new_area, name="new_area"),
    path("people/", people.people, name="people"),
    path("people/new/", people.new_person, name="new_person"),
    path("people/invitations/", people.invitations, name="invitations"),
    path("people/<uuid:person>/", people.person, name="person"),
    path("people/<uuid:person>/edit/", people.edit_person, name="edit_person"),
    path("people/<uuid:person>/roles/", people.person_roles, name="person_roles"),
    path("people/<uuid:person>/leave/", people.leave_club, name="leave_club"),
    path("people/<uuid:person>/guardian/", people.add_tie, name="add_tie"),
    path("people/<uuid:person>/bar/", people.bar_contact, name="bar_contact"),
    path("people/<uuid:person>/consent/", people.give_consent, name="give_consent"),
    path("people/ties/<int:tie>/", people.edit_tie, name="edit_tie"),
    path("people/ties/<int:tie>/remove/", people.remove_tie, name="remove_tie"),
    path("people/barred/<int:barred>/remove/", people.unbar_contact, name="unbar_contact"),
    path("people/consents/<int:consent>/withdraw/", people.withdraw_consent, name="withdraw_consent"),
    path("people/<uuid:person>/link/", people.make_sign_in_link, name="make_sign_in_link"),
    path("people/links/<uuid:link>/revoke/", people.revoke_sign_in_link, name="revoke_sign_in_link"),
    path("changes/", site.audit, name="audit"),
    path("mail/", mail.mails, name="mails"),
    path("mail/minors/", mail.minors_mail, name="minors_mail"),
    path("mail/minors/<uuid:mail>/", mail.minor_mail, name="minor_mail"),
    path("mail/<uuid:mail>/", mail.mail, name="mail"),
    path("mail/<uuid:mail>/came-back/", mail.mail_came_back, name="mail_came_back"),
    path("mail/<uuid:mail>/again/", mail.resend_mail, name="resend_mail"),
    path("parts/", site.parts, name="parts"),
    path("drills/", include("drills.urls")),
    path("catalogue/", include("drills.catalogue_urls")),
    path("", include("athletes.urls")),
    path("practices/", include("sessions.practices.urls")),
    path("practices/<uuid:practice>/fill/", include("sessions.planning.urls")),
    path("practices/<uuid:practice>/tablets/", include("sessions.station.desk_urls")),
    path("station/", include("sessions.station.urls")),
    path("summaries/", include("sessions.summaries.urls")),
    path("", include("sessions.boards.urls")),
    path("calendar/", include("sessions.feeds.urls")),
]

urlpatterns = [
    path("healthz", health.healthz, name="healthz"),
    path("", site.home, name="home"),
    path("sign-in/", site.sign_in, name="account_login"),
    path("sign-in/link/", site.sign_in_by_link, name="sign_in_by_link"),
    path("account/", account.account, name="account"),
    path("this-screen/", screen.this_screen, name="this_screen"),
    path("no-more-mail/<str:token>/", mail.stop_mail, name="stop_mail"),
    path("sign-out/", site.sign_out, name="account_logout"),
    path("calendar/", include("sessions.feeds.public_urls")),
    path("c/<slug:club>/", include(club_pages)),
    path("api/v1/clubs/<slug:club>/", include("club.api_urls")),
]

handler400 = "club.views.site.bad_request"
handler403 = "club.views.site.forbidden"
handler404 = "club.views.site.not_found"
