from django.apps import AppConfig


class FeedsConfig(AppConfig):
    """Practices in a calendar of one's own: addresses that one makes and revokes, and what stands behind them."""

    name = "sessions.feeds"
    label = "feeds"

    def ready(self) -> None:
        from sessions.feeds import in_archive, records  # noqa: F401
