"""Every address of the site. Each view declares its door (club/doors.py)."""

from django.urls import include, path

from club import health, views

club_pages = [
    path("", views.club_home, name="club_home"),
    path("club/", views.club_page, name="club_page"),
    path("club/duties/<int:duty>/retry/", views.retry_duty, name="retry_duty"),
    path("people/", views.people, name="people"),
    path("people/<uuid:person>/link/", views.make_sign_in_link, name="make_sign_in_link"),
    path("people/links/<uuid:link>/revoke/", views.revoke_sign_in_link, name="revoke_sign_in_link"),
    path("changes/", views.audit, name="audit"),
    path("parts/", views.parts, name="parts"),
    path("drills/", include("drills.urls")),
    path("catalogue/", include("drills.catalogue_urls")),
    path("practices/", include("sessions.practices.urls")),
    path("station/", include("sessions.station.urls")),
    path("", include("sessions.boards.urls")),
]

urlpatterns = [
    path("healthz", health.healthz, name="healthz"),
    path("", views.home, name="home"),
    path("sign-in/", views.sign_in, name="account_login"),
    path("sign-in/link/", views.sign_in_by_link, name="sign_in_by_link"),
    path("sign-out/", views.sign_out, name="account_logout"),
    path("c/<slug:club>/", include(club_pages)),
    path("api/v1/clubs/<slug:club>/", include("club.api_urls")),
]

handler400 = "club.views.bad_request"
handler403 = "club.views.forbidden"
handler404 = "club.views.not_found"
