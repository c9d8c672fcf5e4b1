from django.apps import AppConfig


class NewsConfig(AppConfig):
    """Mails about practices: what changed, and the week. Hears of changes by ``sessions/practices/changes.py``."""

    name = "sessions.news"
    label = "news"

    def ready(self) -> None:
        from sessions.news import duty_handlers, hearing, in_archive  # noqa: F401
