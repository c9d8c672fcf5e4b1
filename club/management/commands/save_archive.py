import os
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from club import archive
from club.models import Club


class Command(BaseCommand):
    help = "Writes one club's archive. It holds nearly all that is private of the club: keep the file to yourself."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="must not be there yet")
        parser.add_argument("--club", default="", help="the club's address, needed only where there are several")

    def handle(self, *args: Any, **options: Any) -> None:
        club = _club(options["club"])
        part = options["file"].with_name(options["file"].name + ".part")
        try:
            if options["file"].exists():
                raise FileExistsError(f"{options['file']} is there already")
            with open(part, "xb", opener=_private) as file:
                count = archive.write(club, file)
            part.rename(options["file"])
        except OSError as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{sum(count.values())} rows of {len(count)} kinds")


def _club(slug: str) -> Club:
    clubs = Club.objects.filter(slug=slug) if slug else Club.objects.all()
    if len(found := list(clubs[:2])) != 1:
        raise CommandError("There is no such club." if slug else "Say which club: --club ADDRESS.")
    return found[0]


def _private(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)
