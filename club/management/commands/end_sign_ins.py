from typing import Any

from django.contrib.sessions.models import Session
from django.core.management.base import BaseCommand
from django.utils import timezone

from club.models import SignInLink


class Command(BaseCommand):
    help = "Signs everybody out and takes back unused sign-in links. A restore runs it."

    def handle(self, *args: Any, **options: Any) -> None:
        ended = Session.objects.all().delete()[0]
        links = SignInLink.objects.filter(used_at__isnull=True, revoked_at__isnull=True)
        revoked = links.update(revoked_at=timezone.now())
        self.stdout.write(f"{ended} signed out, {revoked} links taken back.")
