from django.apps import AppConfig


class BoardsConfig(AppConfig):
    name = "sessions.boards"
    label = "boards"

    def ready(self) -> None:
        from sessions.boards import catalogue_offers, hearing, records  # noqa: F401
