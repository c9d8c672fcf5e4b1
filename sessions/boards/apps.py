from django.apps import AppConfig


class BoardsConfig(AppConfig):
    name = "sessions.boards"
    label = "boards"

    def ready(self) -> None:
        from sessions.boards import hearing, records  # noqa: F401
