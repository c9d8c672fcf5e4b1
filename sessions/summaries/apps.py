from django.apps import AppConfig


class SummariesConfig(AppConfig):
    name = "sessions.summaries"
    label = "summaries"

    def ready(self) -> None:
        from sessions.summaries import duty_handlers, records  # noqa: F401
