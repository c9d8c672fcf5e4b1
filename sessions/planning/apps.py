from django.apps import AppConfig


class PlanningConfig(AppConfig):
    name = "sessions.planning"
    label = "planning"

    def ready(self) -> None:
        from sessions.planning import page_helps, records  # noqa: F401
