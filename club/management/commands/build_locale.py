from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from club.translations import build


class Command(BaseCommand):
    help = "Builds the second languages from their .po files into the data folder."

    def handle(self, *args: Any, **options: Any) -> None:
        for file in build(settings.LOCALE_BUILT):
            self.stdout.write(str(file))
