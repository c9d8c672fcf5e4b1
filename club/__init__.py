"""The site, and who is who: settings, doors, duties, people and places."""

from club.celery import app as celery_app

__all__ = ["celery_app"]
