"""Sporting profiles, squads, lasting notes."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext_noop

from athletes.actions.decisions import place
from athletes.models import Athlete, AthleteNote, Squad
from club import audit
from club.members import Member
from club.models import Person

__all__ = [
    "add_athlete",
    "add_note",
    "add_squad",
    "edit_athlete",
    "place",
    "remove_note",
    "rename_squad",
]


def add_squad(*, by: Member, name: str) -> Squad:
    with transaction.atomic():
        squad = Squad.objects.create(club=by.club, name=name)
        audit.note(by, gettext_noop("added a squad"), squad, {"name": name})
    return squad


def rename_squad(*, by: Member, squad: Squad, name: str) -> None:
    with transaction.atomic():
        if Squad.objects.for_member(by).filter(pk=squad.pk).exclude(name=name).update(name=name):
            audit.note(by, gettext_noop("renamed a squad"), squad, {"old": squad.name, "new": name})


def add_athlete(
    *, by: Member, person: Person, hand: str, joined_on: date, squads: Iterable[Squad] = (), drop_steps: int = 3
) -> Athlete:
    """A sporting profile for a person of the club. Of one that came with the role, what it says."""
    values = {"hand": hand, "joined_on": joined_on, "drop_steps": drop_steps}
    with transaction.atomic():
        athlete, _ = Athlete.objects.update_or_create(club=by.club, person=person, defaults=values)
        athlete.squads.set(squads)
        audit.note(by, gettext_noop("added an athlete"), athlete, {"hand": hand})
    return athlete


def edit_athlete(*, by: Member, athlete: Athlete, hand: str, squads: Iterable[Squad], drop_steps: int) -> None:
    """Changes hand, squads and drop length; writes what is new, and nothing if nothing is."""
    new, old = {squad.pk for squad in squads}, {squad.pk for squad in athlete.squads.all()}
    changed = {
        name: {"old": getattr(athlete, name), "new": value}
        for name, value in (("hand", hand), ("drop_steps", drop_steps))
        if getattr(athlete, name) != value
    }
    if new != old:
        changed["squads"] = {"old": sorted(map(str, old)), "new": sorted(map(str, new))}
    if not changed:
        return
    with transaction.atomic():
        Athlete.objects.for_member(by).filter(pk=athlete.pk).update(hand=hand, drop_steps=drop_steps)
        athlete.squads.set(new)
        audit.note(by, gettext_noop("changed an athlete"), athlete, changed)


def add_note(*, by: Member, athlete: Athlete, text: str, reader: str, now: datetime) -> AthleteNote:
    with transaction.atomic():
        note = AthleteNote.objects.create(club=by.club, athlete=athlete, text=text, reader=reader, by=by.person, at=now)
        audit.note(by, gettext_noop("wrote a note"), athlete, {"reader": reader})
    return note


def remove_note(*, by: Member, note: AthleteNote) -> None:
    with transaction.atomic():
        AthleteNote.objects.for_member(by).filter(pk=note.pk).delete()
        audit.note(by, gettext_noop("removed a note"), note.athlete, {"text": note.text, "reader": note.reader})
