from django.apps import AppConfig


class PracticesConfig(AppConfig):
    name = "sessions.practices"
    label = "practices"

    def ready(self) -> None:
        from sessions.practices import records  # noqa: F401
