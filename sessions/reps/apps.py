from django.apps import AppConfig


class RepsConfig(AppConfig):
    name = "sessions.reps"
    label = "reps"
