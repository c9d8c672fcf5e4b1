from django.apps import AppConfig


class DemoConfig(AppConfig):
    name = "sessions.demo"
    label = "demo"
