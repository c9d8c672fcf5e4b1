"""What the tests of the boards share: a signed-in client, drills with a gate, reps that were rolled up."""

import html
import re
from datetime import UTC, date, datetime, time
from types import SimpleNamespace

import pytest
from django.http import HttpResponse
from django.test import Client

from athletes.models import Athlete
from club.members import Member
from drills.models import Checkpoint, Drill
from tests.builders import DAY, make_checkpoint, make_drill
from tests.sessions.trends.rep_builders import log, roll_up

NOON = datetime.combine(DAY, time(12), UTC)
NBSP = "\N{NO-BREAK SPACE}"


@pytest.fixture
def noon(monkeypatch: pytest.MonkeyPatch) -> datetime:
    """It is noon of DAY, for everything that asks the club's clock."""
    monkeypatch.setattr("club.clock.timezone", SimpleNamespace(now=lambda: NOON))
    return NOON


def signed_in(member: Member) -> Client:
    client = Client()
    client.force_login(member.person, backend="allauth.account.auth_backends.AuthenticationBackend")
    return client


def get(member: Member, address: str, club: str = "", **headers: str) -> HttpResponse:
    return signed_in(member).get(f"/c/{club or member.club.slug}/{address}", headers=headers)


def text_of(response: HttpResponse) -> str:
    """What a reader sees, in one line; unbreakable blanks as blanks."""
    body = re.sub(r"<(head|script|template).*?</\1>", " ", response.content.decode(), flags=re.S)
    plain = html.unescape(re.sub(r"<[^>]+>", " ", body))
    return re.sub(r"\s+", " ", plain.replace(NBSP, " "))


def practise(athlete: Athlete, drill: Drill, days: dict[date, str]) -> None:
    """Reps of each day, "1" good, "0" faulty at the gate, "-" done and not watched; rolled up afterwards."""
    gate = [offer.checkpoint for offer in drill.offers.filter(gate=True)]
    for day, reps in days.items():
        for minute, rep in enumerate(reps):
            faults = [gate[0].faults.first()] if rep == "0" else []
            log(athlete, drill, [] if rep == "-" else gate, faults, day=day, minute=minute)
    roll_up()


def make_gate(club, **overrides) -> Checkpoint:
    values = {"key": "drop-start", "name": "drop start", "good": "Bottom hand starts down on landing 6."}
    return make_checkpoint(club, **{**values, **overrides})


def make_course(club) -> tuple[Drill, Drill]:
    """A first drill and one that needs it."""
    first = make_drill(club, gate=(make_gate(club),), key="standing-drop", name="Standing drop", short="Standing drop")
    later = make_drill(
        club, gate=(make_checkpoint(club),), key="six-step", name="Six-step walk", short="Six-step walk",
        needs=(first,), order=1, risk="moving", phases=["drop", "plant"],
    )  # fmt: skip
    return first, later
