from django.apps import AppConfig


class DrillsConfig(AppConfig):
    name = "drills"

    def ready(self) -> None:
        from drills import in_archive  # noqa: F401  (registers what it leaves out and checks)
