from django.apps import AppConfig


class StationConfig(AppConfig):
    name = "sessions.station"
    label = "station"
