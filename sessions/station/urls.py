from django.urls import path

from sessions.station import views

urlpatterns = [
    path("", views.station_start, name="station_start"),
    path("<uuid:station>/", views.station, name="station"),
    path("<uuid:station>/safety/", views.station_safety, name="station_safety"),
    path("without-plan/<uuid:practice>/", views.station_without_plan, name="station_without_plan"),
]
