"""Emergency cards as the adult in charge takes them along. Each look was logged before they are read."""

from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from athletes.models import Athlete
from athletes.queries.profile import card
from club.members import Member


@dataclass(frozen=True, slots=True)
class Call:
    name: str
    phone: str
    collects: bool


@dataclass(frozen=True, slots=True)
class TakenCard:
    athlete: str
    name: str
    calls: tuple[Call, ...]
    also_call: str
    allergies: str
    medicines: str
    conditions: str
    barred: tuple[str, ...]

    def plain(self) -> dict[str, Any]:
        return asdict(self)


def taken_cards(member: Member, athletes: list[Athlete], today: date) -> list[TakenCard]:
    """In the order given. The caller has logged a look at each (``athletes.actions.body.look_at_cards``)."""
    return [_taken(member, athlete, today) for athlete in athletes]


def _taken(member: Member, athlete: Athlete, today: date) -> TakenCard:
    found = card(member.club, athlete, today)
    calls = tuple(Call(tie.guardian.full_name, tie.guardian.phone, tie.may_collect) for tie in found.guardians)
    words = {name: getattr(found.card, name, "") for name in ("also_call", "allergies", "medicines", "conditions")}
    return TakenCard(str(athlete.pk), athlete.person.full_name, calls, barred=tuple(found.barred), **words)
