from django.apps import AppConfig


class RepsConfig(AppConfig):
    name = "sessions.reps"
    label = "reps"

    def ready(self) -> None:
        from sessions.reps import records  # noqa: F401  (registers its rows)
