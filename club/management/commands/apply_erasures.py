from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from club.erasure import apply_ledger


class Command(BaseCommand):
    help = "Erases again whoever the ledger of erasures names. A restore runs it before anything is served."

    def handle(self, *args: Any, **options: Any) -> None:
        ledger = Path(settings.ERASURE_LEDGER)
        lines = ledger.read_text(encoding="ascii").splitlines() if ledger.exists() else []
        count = apply_ledger(iter([line for line in lines if line.strip()]))
        self.stdout.write(f"{count} of {len(lines)} erasures applied.")
