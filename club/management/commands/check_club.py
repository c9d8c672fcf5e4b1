from typing import Any

from django.core.management.base import BaseCommand, CommandError

from club.crossings import crossings


class Command(BaseCommand):
    help = "Counts foreign keys that cross from one club to another."

    def handle(self, *args: Any, **options: Any) -> None:
        found = crossings()
        for crossing in found:
            self.stderr.write(f"{crossing.model}.{crossing.field}: {crossing.rows}")
        self.stdout.write(str(sum(crossing.rows for crossing in found)))
        if found:
            raise CommandError("Rows point into another club.")
