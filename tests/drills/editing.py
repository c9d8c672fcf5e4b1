"""What the tests of the catalogue's pages share: a club with the small catalogue, its head coach's browser, a dump."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.http import HttpResponse
from django.test import Client

from club.members import Member
from club.roles import Permission
from drills import queries
from drills.actions import load_catalogue
from drills.core.items import Fields, ItemId
from drills.core.reading import read_catalogue
from drills.views.edit import BY_KIND
from tests.builders import Cast, make_cast
from tests.club.asking import dump
from tests.club.catalogue_cases import posted

SMALL = (Path(__file__).parent / "small_catalogue.yaml").read_bytes()

__all__ = ["SMALL", "Desk", "dump", "make_desk"]


@dataclass(slots=True)
class Desk:
    """A head coach at the catalogue of a club."""

    cast: Cast
    coach: Member
    client: Client

    def url(self, path: str) -> str:
        return f"/c/{self.cast.club.slug}/{path}"

    def get(self, path: str) -> HttpResponse:
        return self.client.get(self.url(path))

    def post(self, path: str, data: Any) -> HttpResponse:
        return self.client.post(self.url(path), data)

    def items(self) -> dict[ItemId, Fields]:
        return queries.items(self.coach)

    def form_data(self, item: ItemId, **changes: Any) -> dict[str, Any]:
        """What the browser sends from the page of an item that is there."""
        return posted(BY_KIND[item.kind].form(items=self.items(), item=item), **changes)

    def new_data(self, kind: Any, **changes: Any) -> dict[str, Any]:
        return posted(BY_KIND[kind].form(items=self.items()), **changes)


def make_desk(source: bytes = SMALL) -> Desk:
    cast = make_cast()
    load_catalogue(club=cast.club, catalogue=read_catalogue(source), source=source.decode())
    client = Client()
    client.force_login(cast.head_coach.person, backend="allauth.account.auth_backends.AuthenticationBackend")
    return Desk(cast, cast.head_coach.acting(Permission.CATALOGUE_EDIT), client)
