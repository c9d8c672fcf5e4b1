from django.urls import path

from sessions.station.views import app, logging

urlpatterns = [
    path("", logging.station_start, name="station_start"),
    path("app/", app.station_app, name="station_app"),
    path("worker.js", app.station_worker, name="station_worker"),
    path("app.webmanifest", app.station_manifest, name="station_manifest"),
    path("<uuid:station>/", logging.station, name="station"),
    path("<uuid:station>/safety/", logging.station_safety, name="station_safety"),
    path("without-plan/<uuid:practice>/", logging.station_without_plan, name="station_without_plan"),
]
