from django.apps import AppConfig


class TrendsConfig(AppConfig):
    name = "sessions.trends"
    label = "trends"
