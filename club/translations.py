"""Second languages. Translators write ``locale/*/LC_MESSAGES/django.po``. What Django reads is built from these into
the data folder, when the site is made ready and when tests begin, with nothing that the machine would have to have."""

from pathlib import Path

import polib

SOURCE = Path(__file__).resolve().parent / "locale"


def build(target: Path) -> list[Path]:
    """Writes each language's file below ``target``; those that were written."""
    made = []
    for source in sorted(SOURCE.glob("*/LC_MESSAGES/django.po")):
        file = target / source.relative_to(SOURCE).with_suffix(".mo")
        file.parent.mkdir(parents=True, exist_ok=True)
        part = file.with_suffix(".part")
        part.write_bytes(polib.pofile(str(source)).to_binary())
        part.replace(file)  # whole or not at all: another process may be reading it
        made.append(file)
    return made
