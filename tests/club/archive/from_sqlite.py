"""Makes a small demo club in an SQLite database of its own and writes its archive.

A process of its own, because one process of the site knows one database: ``python -m tests.club.archive.from_sqlite
FILE``. SIXMARK_DATA must be an empty folder.
"""

import sys
from pathlib import Path

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402

from club import archive  # noqa: E402
from sessions.demo.actions import SMALL, make_demo_club  # noqa: E402


def main(path: Path) -> None:
    assert connection.vendor == "sqlite"
    call_command("migrate", interactive=False, verbosity=0)
    with path.open("wb") as file:
        archive.write(make_demo_club(size=SMALL), file)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
