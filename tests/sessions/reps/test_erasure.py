"""Erasing an athlete takes every row about them, the append-only events too; an observer's records stay."""

from club.subjects import registered
from sessions.reps.models import Event, Look, NeedsLook, Rep, RepNote
from tests.sessions.reps.ground import SECOND, Ground

MODELS = (NeedsLook, Look, Rep, RepNote, Event)


def erase(ground: Ground, person: object) -> None:
    for model in MODELS:
        for subject in registered()[model]:
            rows = subject.rows(ground.cast.club, person)  # type: ignore[arg-type]
            if subject.erase == "delete":
                rows.delete()
            elif callable(subject.erase):
                subject.erase(rows)


def full(ground: Ground) -> None:
    athlete = ground.cast.vaulter.pk
    sent = ground.rep(faults=["timing-late"])
    ground.send(sent, ground.event(1, kind="note", athlete=athlete, text="x", reader="coaches"))
    ground.send(
        {**sent, "unsafe": True}, ground.look(500), ground.rep(3, athlete=ground.cast.team_mate.pk), device=SECOND
    )


def test_an_erased_athlete_leaves_nothing(ground: Ground) -> None:
    full(ground)
    assert NeedsLook.objects.count() == 2
    erase(ground, ground.cast.vaulter.person)
    counts = {model.__name__: model.objects.count() for model in MODELS}
    assert counts == {"NeedsLook": 0, "Look": 1, "Rep": 1, "RepNote": 0, "Event": 1}


def test_what_an_erased_observer_recorded_stays(ground: Ground) -> None:
    full(ground)
    before = {model: model.objects.count() for model in MODELS}
    erase(ground, ground.cast.assistant.person)
    assert {model: model.objects.count() for model in MODELS} == before
