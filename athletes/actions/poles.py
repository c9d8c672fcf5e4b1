"""The club's poles and the athletes' notebooks."""

from datetime import date
from typing import Any

from django.db import transaction
from django.utils.translation import gettext_noop

from athletes.models import Athlete, NotebookEntry, Pole
from club import audit
from club.members import Member


def add_pole(*, by: Member, **values: Any) -> Pole:
    """values: the fields of a pole, in metres and kilograms."""
    with transaction.atomic():
        pole = Pole.objects.create(club=by.club, **values)
        audit.note(by, gettext_noop("added a pole"), pole)
    return pole


def edit_pole(*, by: Member, pole: Pole, **values: Any) -> None:
    changed = {name: value for name, value in values.items() if getattr(pole, name) != value}
    if not changed:
        return
    with transaction.atomic():
        Pole.objects.for_member(by).filter(pk=pole.pk).update(**changed)
        audit.note(by, gettext_noop("changed a pole"), pole, {"fields": sorted(changed)})


def withdraw_pole(*, by: Member, pole: Pole, why: str, today: date) -> None:
    """Nobody is given it any more: a crack, a spike cut, a missing plug."""
    with transaction.atomic():
        rows = Pole.objects.for_member(by).filter(pk=pole.pk, state=Pole.State.IN_USE)
        if rows.update(state=Pole.State.WITHDRAWN, why=why, withdrawn_on=today):
            audit.note(by, gettext_noop("withdrew a pole"), pole, {"why": why})


def return_pole(*, by: Member, pole: Pole) -> None:
    with transaction.atomic():
        rows = Pole.objects.for_member(by).filter(pk=pole.pk, state=Pole.State.WITHDRAWN)
        if rows.update(state=Pole.State.IN_USE, why="", withdrawn_on=None):
            audit.note(by, gettext_noop("took a pole back into use"), pole, {"why": pole.why})


def note_marks(*, by: Member, athlete: Athlete, on: date, **values: Any) -> NotebookEntry:
    """An entry in an athlete's notebook. values: drill, pole, steps, grip_m, start_mark_m, mid_mark_m, note."""
    with transaction.atomic():
        entry = NotebookEntry.objects.create(club=by.club, athlete=athlete, on=on, by=by.person, **values)
        audit.note(by, gettext_noop("wrote in an athlete's notebook"), athlete, {"on": str(on)})
    return entry


def remove_entry(*, by: Member, entry: NotebookEntry) -> None:
    with transaction.atomic():
        NotebookEntry.objects.for_member(by).filter(pk=entry.pk).delete()
        audit.note(by, gettext_noop("removed a notebook entry"), entry.athlete, {"on": str(entry.on)})
