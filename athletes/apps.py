from django.apps import AppConfig


class AthletesConfig(AppConfig):
    name = "athletes"

    def ready(self) -> None:
        from athletes import records  # noqa: F401  (registers its rows)
