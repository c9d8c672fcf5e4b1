"""Events come in, are stored once, and become rows."""

from dataclasses import replace
from datetime import time, timedelta
from uuid import UUID, uuid4, uuid5

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from club.models import AuditEntry, Duty
from club.roles import Permission
from sessions.practices.actions import calendar
from sessions.practices.actions.errors import NotNow
from sessions.practices.changes import Slot
from sessions.practices.models import Attendance
from sessions.reps.models import Device, Event, Hold, Look, NeedsLook, Rep, RepNote, WatchSet
from tests.builders import make_venue
from tests.sessions.reps.ground import SECOND, Ground, derived, dump


def test_a_rep_becomes_a_row_with_its_deciding_look(ground: Ground) -> None:
    sent = ground.rep(watched=["timing"], faults=["timing-late", "feet-bent"])
    assert ground.states(sent) == [("accepted", "")]
    rep = Rep.objects.get()
    assert (str(rep.uuid), rep.athlete, rep.drill, rep.station) == (
        sent["uuid"], ground.cast.vaulter, ground.drop, ground.station
    )  # fmt: skip
    assert (rep.day, rep.at, rep.state, rep.unsafe) == (ground.practice.day, ground.at, "counts", False)
    look = Look.objects.get()
    assert look.rep == rep and look.deciding and look.observer == ground.cast.assistant.person
    assert [c.key for c in look.watch_set.checkpoints.all()] == ["timing"]
    assert sorted(look.faults.values_list("fault__key", "inside")) == [("feet-bent", False), ("timing-late", True)]


def test_a_rep_that_nobody_saw_has_a_look_that_watched_nothing(ground: Ground) -> None:
    ground.send(ground.rep(watched=[]), ground.rep(1, watched=[]))
    assert Look.objects.filter(watch_set__watched__isnull=True).count() == 2
    assert WatchSet.objects.count() == 1


@pytest.mark.parametrize("said", [{"unsafe": True}, {"faults": ["feet-jumps"]}])
def test_a_rep_is_unsafe_by_word_or_by_an_unsafe_fault(ground: Ground, said: dict[str, object]) -> None:
    ground.send(ground.rep(**said))
    assert Rep.objects.get().unsafe and Look.objects.get().unsafe


def test_a_set_becomes_its_reps_with_uuids_that_follow_from_it(ground: Ground) -> None:
    sent = ground.set(done=5, watched=4, faulty=2, counts={"timing-late": 1})
    ground.send(sent)
    reps = list(Rep.objects.order_by("place_in_set"))
    assert [rep.uuid for rep in reps] == [uuid5(UUID(sent["uuid"]), str(i)) for i in range(1, 6)]
    looks = [rep.looks.get() for rep in reps]
    # ⌊4i/5⌋ rises at 2, 3, 4, 5; of these four, faulty where ⌊2j/4⌋ rises: the second and the fourth.
    assert [look.watch_set.watched.count() for look in looks] == [0, 1, 1, 1, 1]
    assert [look.faults.count() for look in looks] == [0, 0, 1, 0, 0]
    assert [look.unnamed_fault for look in looks] == [False, False, False, False, True]


def test_all_did_five_is_five_reps_that_nobody_watched(ground: Ground) -> None:
    ground.send(ground.set(watch_set=[], watched=0, faulty=0, counts={}))
    assert Rep.objects.filter(state="counts").count() == 5
    assert not Look.objects.filter(watch_set__watched__isnull=False).exists()


def test_the_same_batch_again_changes_nothing(ground: Ground) -> None:
    sent = [
        ground.rep(),
        ground.set(5),
        ground.event(9, kind="note", athlete=ground.cast.vaulter.pk, text="x", reader="coaches"),
    ]
    ground.send(*sent)
    before = dump()
    assert ground.states(*sent, received_at=ground.at + timedelta(hours=5)) == [("duplicate", "")] * 3
    assert dump() == before


def test_an_event_twice_in_one_batch_is_taken_once(ground: Ground) -> None:
    sent = ground.rep()
    assert ground.states(sent, sent) == [("accepted", ""), ("duplicate", "")]
    assert Rep.objects.count() == 1


def test_other_content_under_a_known_uuid_is_rejected_and_kept_for_a_look(ground: Ground) -> None:
    sent = ground.rep()
    ground.send(sent)
    before = derived()
    other = {**sent, "faults": ["timing-late"]}
    assert ground.states(other, other) == [("rejected", "conflict")] * 2
    assert ground.states(other) == [("rejected", "conflict")]
    assert derived() | {"needs": []} == before
    need = NeedsLook.objects.get()
    assert need.reason == "conflict" and need.content["faults"] == ["timing-late"]


def test_a_uuid_that_stands_for_a_rep_of_a_set_is_a_conflict_either_way(ground: Ground) -> None:
    first, second = ground.set(), ground.set(60)
    ground.send(first)
    child = uuid5(UUID(first["uuid"]), "2")
    assert ground.states(ground.rep(uuid=child)) == [("rejected", "conflict")]
    ground.send(ground.rep(uuid=uuid5(UUID(second["uuid"]), "3")))
    assert ground.states(second) == [("rejected", "conflict")]


def test_each_pair_and_day_touched_is_left_as_a_duty(ground: Ground) -> None:
    mate = ground.cast.team_mate
    sent = ground.rep()
    ground.send(sent, ground.rep(1), ground.rep(2, athlete=mate.pk, drill="walk"))
    day = ground.practice.day.isoformat()
    here = f"{ground.cast.vaulter.pk}/{ground.drop.pk}/{day}"
    assert set(Duty.objects.values_list("key", "asked")) == {(here, 1), (f"{mate.pk}/{ground.walk.pk}/{day}", 1)}
    ground.send(ground.correct(sent, athlete=mate.pk))
    there = f"{mate.pk}/{ground.drop.pk}/{day}"
    assert Duty.objects.get(key=here).asked == 2 and Duty.objects.get(key=there).asked == 1


def test_a_note_is_there_until_it_is_taken_back(ground: Ground) -> None:
    note = ground.event(0, kind="note", athlete=ground.cast.vaulter.pk, text="Start higher.", reader="athlete")
    ground.send(note)
    assert RepNote.objects.get().text == "Start higher."
    ground.send(ground.void(note))
    assert not RepNote.objects.exists()


def test_a_hold_lasts_until_its_device_lets_go(ground: Ground) -> None:
    hold = ground.event(0, kind="hold", station=ground.station.pk)
    ground.send(hold)
    assert Hold.objects.get().until is None
    ground.send(ground.event(50, kind="release", station=ground.station.pk), device=SECOND)
    assert Hold.objects.get().until is None
    ground.send(ground.event(60, kind="release", station=ground.station.pk))
    row = Hold.objects.get()
    assert (row.person, row.until) == (ground.cast.assistant.person, ground.at + timedelta(seconds=60))


def test_attendance_is_the_last_word(ground: Ground) -> None:
    athlete = ground.cast.vaulter.pk
    ground.send(ground.event(10, kind="attendance", athlete=athlete, state="here"))
    ground.send(ground.event(5, kind="attendance", athlete=athlete, state="absent"))
    assert Attendance.objects.get().state == "here"


def test_a_logger_takes_an_athlete_out_but_never_back_in(ground: Ground) -> None:
    athlete = ground.cast.vaulter.pk
    out = ground.event(10, kind="out_of_practice", athlete=athlete, reason="injured")
    assert ground.states(out, by=ground.cast.helper) == [("accepted", "")]
    assert AuditEntry.objects.get(kind="took out of practice").values == {"reason": "injured"}
    back = ground.event(20, kind="attendance", athlete=athlete, state="here")
    assert ground.states(back) == [("rejected", "is_out")]
    late = ground.event(5, kind="attendance", athlete=athlete, state="here")
    assert ground.states(late) == [("accepted", "")]
    assert Attendance.objects.get().state == "out"
    assert ground.states({**back, "uuid": str(uuid4())}, by=ground.cast.head_coach) == [("accepted", "")]
    assert Attendance.objects.get().state == "here"


def test_taken_out_on_a_tablet_without_network_an_athlete_was_out_all_the_same(ground: Ground) -> None:
    athlete = ground.cast.vaulter.pk
    ground.send(ground.event(20, kind="attendance", athlete=athlete, state="here"))
    ground.send(ground.event(10, kind="out_of_practice", athlete=athlete, reason="injured"), device=SECOND)
    assert Attendance.objects.get().state == "out"
    ground.send(ground.event(30, kind="attendance", athlete=athlete, state="here"), by=ground.cast.head_coach)
    assert Attendance.objects.get().state == "here"


def test_taken_out_later_in_the_same_batch_is_out(ground: Ground) -> None:
    athlete = ground.cast.vaulter.pk
    out = ground.event(10, kind="out_of_practice", athlete=athlete, reason="unwell")
    back = ground.event(20, kind="attendance", athlete=athlete, state="here")
    assert ground.states(out, back) == [("accepted", ""), ("rejected", "is_out")]


def test_a_device_is_known_by_the_uuid_it_chose(ground: Ground) -> None:
    ground.send(ground.rep())
    ground.send(ground.rep(1))
    device = Device.objects.get()
    assert (device.name, device.last_seen_at) == ("Tablet", ground.at + timedelta(hours=1))


@pytest.mark.parametrize("who", ["athlete", "parent", "officer", "outsider"])
def test_whoever_may_not_log_is_refused(ground: Ground, who: str) -> None:
    member = getattr(ground.cast, who)
    with pytest.raises((PermissionDenied, type(ground.practice).DoesNotExist)):
        ground.send(ground.rep(), by=member)
    assert not Event.objects.exists()


def test_an_empty_batch_is_answered_with_the_servers_clock(ground: Ground) -> None:
    answer = ground.send()
    assert answer.results == () and abs(answer.now - timezone.now()) < timedelta(seconds=10)


def test_day_and_venue_of_a_practice_stay_once_something_was_recorded_at_it(ground: Ground) -> None:
    ground.send(ground.rep())
    practice, planner = ground.practice, ground.cast.head_coach.acting(Permission.PRACTICE_PLAN)
    here = Slot.of(practice)
    for to in (replace(here, day=here.day + timedelta(days=1)), replace(here, venue=make_venue(ground.cast.club))):
        with pytest.raises(NotNow, match="Its day and venue stay"):
            calendar.move(by=planner, practice=practice, to=to)
    calendar.move(by=planner, practice=practice, to=replace(here, ends=time(23)))
    practice.refresh_from_db()
    assert practice.day == Rep.objects.get().day and practice.ends == time(23)
