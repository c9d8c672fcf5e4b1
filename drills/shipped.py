"""The catalogue that comes with the program, and whether a newer edition of it waits for a club."""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from django.conf import settings

from club.members import Member
from club.models import Club
from drills.actions import load_catalogue
from drills.core.catalogue import Catalogue
from drills.core.reading import read_catalogue
from drills.models import CatalogueEdition
from drills.queries import edition

SHIPPED = Path(settings.BASE_DIR) / "fixtures" / "catalogue.yaml"


@dataclass(frozen=True, slots=True)
class Shipped:
    """One edition: its values and the text of its file."""

    catalogue: Catalogue
    source: str


@dataclass(frozen=True, slots=True)
class Waiting:
    """A newer edition, and the one that the club took last."""

    base: CatalogueEdition
    new: Shipped


def shipped() -> Shipped:
    return _read(SHIPPED, SHIPPED.stat().st_mtime_ns)


@lru_cache(maxsize=1)
def _read(path: Path, written_ns: int) -> Shipped:
    """Once for each version of the file."""
    source = path.read_bytes()
    return Shipped(read_catalogue(source), source.decode())


def load_shipped_catalogue(club: Club) -> None:
    """Gives an empty club the shipped catalogue. Raises CatalogueExists."""
    now = shipped()
    load_catalogue(club=club, catalogue=now.catalogue, source=now.source)


def edition_waiting(member: Member) -> Waiting | None:
    """The shipped edition that the club has not looked at yet; None also for a club with no shipped base. One query."""
    base, new = edition(member.club), shipped()
    return Waiting(base, new) if base and base.version < new.catalogue.version else None
