from django.apps import AppConfig


class TrendsConfig(AppConfig):
    name = "sessions.trends"
    label = "trends"

    def ready(self) -> None:
        from sessions.trends import duty_handlers, in_archive, records  # noqa: F401  (registers its duties and its rows)
