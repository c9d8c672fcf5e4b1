"""The doorbell. Celery carries no work: what is to be done stands in Duty rows."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "club.settings")
app = Celery("sixmark")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["club"])
