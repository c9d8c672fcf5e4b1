from django.apps import AppConfig


class BoardsConfig(AppConfig):
    name = "sessions.boards"
    label = "boards"
