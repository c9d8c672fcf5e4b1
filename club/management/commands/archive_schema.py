import json
from typing import Any

from django.core.management.base import BaseCommand

from club.archive.schema import schema


class Command(BaseCommand):
    help = "Prints the JSON Schema of the lines of a club's archive, as this version writes and reads them."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(json.dumps(schema(), indent=2, sort_keys=True))
