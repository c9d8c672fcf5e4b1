from django.apps import AppConfig


class ClubConfig(AppConfig):
    name = "club"

    def ready(self) -> None:
        from club import checks, duty_handlers, records  # noqa: F401  (registers its checks and its rows)
        from club.mail import duty_handlers as mail_duty_handlers  # noqa: F401
