from django.apps import AppConfig


class AthletesConfig(AppConfig):
    name = "athletes"

    def ready(self) -> None:
        # Each registers what it holds: what it says, handles, follows, and its rows.
        from athletes import catalogue_changes, duty_handlers, in_archive, records, role_handlers  # noqa: F401
