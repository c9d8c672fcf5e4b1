"""What is stored but changes nothing until a coach lets it in."""

from datetime import timedelta
from uuid import UUID

import pytest

from club.models import AuditEntry
from sessions.practices.actions.errors import NotNow
from sessions.reps import actions
from sessions.reps.models import Event, Look, NeedsLook, Rep
from tests.builders import make_athlete
from tests.sessions.reps.ground import SECOND, Ground

HOURS = 3600


def the_need() -> NeedsLook:
    return NeedsLook.objects.get(settled_as="")


# The practice is 17:00 to 19:00; ground.at is 17:30.
@pytest.mark.parametrize(
    ("seconds", "far"),
    [(-12.5 * HOURS, False), (-12.5 * HOURS - 1, True), (13.5 * HOURS, False), (13.5 * HOURS + 1, True)],
)
def test_a_time_over_twelve_hours_from_the_practice_is_kept(ground: Ground, seconds: float, far: bool) -> None:
    sent = {**ground.rep(), "at": (ground.at + timedelta(seconds=seconds)).isoformat()}
    assert ground.states(sent) == [("kept", "far_from_practice") if far else ("accepted", "")]
    assert Rep.objects.exists() is not far


def test_however_late_it_arrives_a_time_within_is_accepted(ground: Ground) -> None:
    later = ground.at + timedelta(days=9)
    batch = {**ground.batch(ground.rep()), "sent_at": later.isoformat()}
    answer = actions.take_events(by=ground.cast.assistant, practice=ground.practice, batch=batch, received_at=later)
    assert answer.results[0].state == "accepted" and Rep.objects.get().day == ground.practice.day


def test_a_correction_at_the_desk_days_later_is_no_matter(ground: Ground) -> None:
    sent = ground.rep()
    ground.send(sent)
    assert actions.correct(
        by=ground.cast.head_coach, practice=ground.practice, target=Rep.objects.get().uuid, faults=[]
    )
    assert not NeedsLook.objects.exists()


@pytest.mark.parametrize(
    ("dates", "reason"), [({"joined_on": 1}, "before_joined"), ({"joined_on": -9, "left_on": -1}, "after_left")]
)
def test_before_joining_and_after_leaving_is_kept(ground: Ground, dates: dict[str, int], reason: str) -> None:
    when = {name: ground.practice.day + timedelta(days=days) for name, days in dates.items()}
    from tests.builders import make_person

    athlete = make_athlete(ground.cast.club, make_person(ground.cast.club, "athlete"), **when)
    assert ground.states(ground.rep(athlete=athlete.pk)) == [("kept", reason)]
    assert not Rep.objects.exists()


def test_accepted_by_a_coach_it_counts(ground: Ground) -> None:
    sent = ground.rep(15 * HOURS)
    ground.send(ground.void(sent, 16 * HOURS))
    ground.send(sent)
    actions.accept(by=ground.cast.head_coach, need=the_need())
    assert Rep.objects.get().state == "void"
    assert AuditEntry.objects.filter(kind="settled an entry").count() == 1


def test_dropped_by_a_coach_it_never_counts(ground: Ground) -> None:
    sent = ground.rep(15 * HOURS)
    ground.send(sent)
    need = the_need()
    actions.drop(by=ground.cast.head_coach, need=need)
    ground.send(ground.correct(sent, faults=[]))
    assert not Rep.objects.exists() and Event.objects.count() == 2
    with pytest.raises(NotNow):
        actions.accept(by=ground.cast.head_coach, need=need)


def test_of_two_corrections_the_coach_may_prefer_the_later(ground: Ground) -> None:
    sent = ground.rep()
    later = ground.correct(sent, 90, faults=["timing-early"])
    ground.send(sent, ground.correct(sent, 80, faults=["timing-late"]), later)
    actions.accept(by=ground.cast.assistant, need=the_need())
    assert Rep.objects.get().looks.get().faults.get().fault.key == "timing-early"
    assert not NeedsLook.objects.filter(settled_as="").exists()


def test_a_dropped_correction_stays_dropped(ground: Ground) -> None:
    sent = ground.rep()
    first = ground.correct(sent, 80, faults=["timing-late"])
    ground.send(sent, first, ground.correct(sent, 90, faults=["timing-early"]))
    actions.drop(by=ground.cast.assistant, need=the_need())
    ground.send(ground.void(first))
    assert not Rep.objects.get().looks.get().faults.exists()


def test_what_came_under_a_taken_uuid_may_be_entered_as_another(ground: Ground) -> None:
    sent = ground.rep()
    ground.send(sent)
    ground.send({**sent, "faults": ["timing-late"], "sequence": 7})
    actions.accept(by=ground.cast.head_coach, need=the_need())
    assert Rep.objects.filter(state="counts").count() == 2
    assert Rep.objects.get(sequence=7).at == ground.at


def test_what_has_no_target_can_be_dropped_but_not_accepted(ground: Ground) -> None:
    sent = ground.rep()
    ground.send(ground.void(sent))
    with pytest.raises(NotNow):
        actions.accept(by=ground.cast.head_coach, need=the_need())
    actions.drop(by=ground.cast.head_coach, need=the_need())
    ground.send(sent)
    assert Rep.objects.get().state == "counts"


def test_an_unsafe_look_without_a_rep_stands_first_in_the_list(ground: Ground) -> None:
    from sessions.reps.queries import needs_a_look

    ground.send(ground.look(0), ground.look(100, unsafe=True), device=SECOND)
    found = needs_a_look(ground.cast.head_coach.acting("reps.correct"))  # type: ignore[arg-type]
    assert [need.unsafe for need in found] == [True, False]
    assert not needs_a_look(ground.cast.parent.acting("child.read")).exists()  # type: ignore[arg-type]


def test_a_look_that_found_no_rep_is_attached_to_the_one_a_coach_names(ground: Ground) -> None:
    rep, look = ground.rep(0), ground.look(300)
    ground.send(rep)
    ground.send(look, device=SECOND)
    need = NeedsLook.objects.get(reason="no_rep")
    actions.attach(by=ground.cast.head_coach, need=need, rep=UUID(rep["uuid"]))
    second = Look.objects.get(deciding=False)
    assert str(second.rep.uuid) == rep["uuid"] and str(second.uuid) == look["uuid"]
    assert NeedsLook.objects.get().settled_as == "attached"
    ground.send(ground.correct(look, 700, faults=[]), by=ground.cast.head_coach)
    assert Look.objects.get(deciding=False).faults.count() == 0, "it stays attached when it is derived again"


def test_an_unsafe_look_makes_the_rep_unsafe_that_it_is_attached_to(ground: Ground) -> None:
    rep = ground.rep(0)
    ground.send(rep)
    ground.send(ground.look(300, unsafe=True), device=SECOND)
    actions.attach(by=ground.cast.head_coach, need=NeedsLook.objects.get(), rep=UUID(rep["uuid"]))
    assert Rep.objects.get().unsafe


def test_a_look_is_attached_to_no_rep_of_another_drill_and_to_none_taken_back(ground: Ground) -> None:
    other, gone = ground.rep(0, drill="walk"), ground.rep(10)
    ground.send(other, gone, ground.void(gone, 20))
    ground.send(ground.look(300), device=SECOND)
    need = NeedsLook.objects.get(reason="no_rep")
    for rep in (other, gone, {"uuid": "00000000-0000-0000-0000-000000000001"}):
        with pytest.raises(NotNow):
            actions.attach(by=ground.cast.head_coach, need=need, rep=UUID(str(rep["uuid"])))
    assert NeedsLook.objects.get(reason="no_rep").settled_as == ""


def test_a_look_that_found_no_rep_becomes_one_on_a_coachs_word(ground: Ground) -> None:
    look = ground.look(300, faults=["timing-late"])
    ground.send(ground.rep(0))
    ground.send(look, device=SECOND)
    actions.rep_of_its_own(by=ground.cast.head_coach, need=the_need())
    own = Rep.objects.exclude(at=ground.at).get()
    assert own.state == "counts" and own.at == ground.at + timedelta(seconds=300)
    [seen] = own.looks.all()
    assert seen.deciding and [fault.fault.key for fault in seen.faults.all()] == ["timing-late"]
    assert NeedsLook.objects.get().settled_as == "own"
    with pytest.raises(NotNow):
        actions.rep_of_its_own(by=ground.cast.head_coach, need=NeedsLook.objects.get())
    assert Rep.objects.count() == 2


def test_a_look_that_was_corrected_since_is_not_made_a_rep_behind_the_correction(ground: Ground) -> None:
    look = ground.look(300)
    ground.send(look, device=SECOND)
    ground.send(ground.correct(look, 400, faults=["timing-late"]), by=ground.cast.head_coach)
    with pytest.raises(NotNow):
        actions.rep_of_its_own(by=ground.cast.head_coach, need=NeedsLook.objects.get(reason="no_rep"))
    assert not Rep.objects.exists() and NeedsLook.objects.get(reason="no_rep").settled_as == ""
