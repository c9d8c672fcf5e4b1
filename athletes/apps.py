from django.apps import AppConfig


class AthletesConfig(AppConfig):
    name = "athletes"

    def ready(self) -> None:
        from athletes import catalogue_changes, records, role_handlers  # noqa: F401  (registers what it says, and its rows)
