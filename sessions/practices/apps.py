from django.apps import AppConfig


class PracticesConfig(AppConfig):
    name = "sessions.practices"
    label = "practices"
