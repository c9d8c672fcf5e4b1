"""The catalogue that comes with the program."""

from pathlib import Path

from django.conf import settings

from club.models import Club
from drills.actions import load_catalogue
from drills.core.reading import read_catalogue

SHIPPED = Path(settings.BASE_DIR) / "fixtures" / "catalogue.yaml"


def load_shipped_catalogue(club: Club) -> None:
    """Gives an empty club the shipped catalogue. Raises CatalogueExists."""
    source = SHIPPED.read_bytes()
    load_catalogue(club=club, catalogue=read_catalogue(source), source=source.decode())
