from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from club import archive


class Command(BaseCommand):
    help = "Loads a club's archive into an installation that has no club yet: all of it, or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--erasures", type=Path, help="the ledger of erasures of the server that it comes from")

    def handle(self, *args: Any, **options: Any) -> None:
        own = Path(settings.ERASURE_LEDGER)
        beside = options["erasures"] or options["file"].with_name(own.name)
        try:
            if options["erasures"] and not options["erasures"].exists():
                raise FileNotFoundError(f"{options['erasures']} is not there")
            erased = list(dict.fromkeys([*_lines(own), *_lines(beside)]))
            club = archive.load(options["file"], erased)
        except (OSError, archive.Refused) as error:
            raise CommandError(f"Nothing was loaded. {options['file']}: {error}") from error
        self.stdout.write(f"{club.name} is here. Its figures are worked out in the background.")
        if options["verbosity"]:
            self.stdout.write("Nobody can sign in yet: manage.py signin_link makes a link for its head coach.")


def _lines(ledger: Path) -> list[str]:
    found = ledger.read_text(encoding="ascii").splitlines() if ledger.exists() else []
    return [line for line in found if line.strip()]
