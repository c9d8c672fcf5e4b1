"""Fill for me on the page of the plan: asked first, pins stay, who is served least, taken back; why here; who may."""

from typing import Any

import pytest
from django.test import Client

from athletes.models import Restriction
from club.models import AuditEntry
from sessions.planning import actions
from sessions.planning.models import Fill
from sessions.practices.actions.errors import NotNow
from sessions.practices.actions.exchange import exchange, pin
from sessions.practices.actions.plan import Put, assign
from sessions.practices.models import AdultPresence, Assignment, Block, Station
from sessions.trends.models import DayCheckpoint
from tests.builders import DAY
from tests.sessions.planning.conftest import Ground, stand, state, text


def put(ground: Ground, *athletes: Any, block: int = 0, station: Station | None = None, drill: Any = None) -> None:
    by, practice = ground.planner, ground.practice
    at = station or ground.floor
    assign(by=by, practice=practice, put=Put(ground.blocks[block], athletes, station=at, drill=drill or ground.hold))


def rows() -> set[tuple[Any, ...]]:
    return set(Assignment.objects.values_list("block__number", "athlete", "station", "drill", "pinned"))


def page_after(coach: Client, ground: Ground, name: str, data: Any = None, **more: Any) -> str:
    return text(coach.post(ground.url(name, **more), data or {}, follow=True))


def test_everybody_without_a_place_gets_one_in_each_block(ground: Ground, coach: Client) -> None:
    page = page_after(coach, ground, "fill_plan")
    assert "12 places were filled" in page and "Served least:" in page
    assert Assignment.objects.count() == 12 and not any(pinned for *_, pinned in rows())


def test_filling_is_written_into_the_record_of_changes(ground: Ground, coach: Client) -> None:
    coach.post(ground.url("fill_plan"))
    assert AuditEntry.objects.get(kind="filled the plan").values == {"given": 12, "taken": 0}


def test_an_empty_plan_is_filled_at_once_and_a_plan_with_loose_places_asks_first(ground: Ground, coach: Client) -> None:
    assert "ask-fill" not in text(coach.get(ground.url("plan")))
    put(ground, ground.cast.vaulter)
    page = text(coach.get(ground.url("plan")))
    assert "1 place is not pinned. What is pinned stays." in page and "Fill what is empty" in page


def test_what_stands_in_the_plan_stays_unless_it_is_to_be_placed_anew(ground: Ground, coach: Client) -> None:
    put(ground, ground.cast.vaulter, ground.cast.team_mate)
    pin(by=ground.planner, practice=ground.practice, assignment=Assignment.objects.first(), pinned=True)
    before = rows()
    coach.post(ground.url("fill_plan"))
    assert before <= rows() and Assignment.objects.count() == 12
    pinned = {row for row in rows() if row[-1]}
    old = set(Assignment.objects.values_list("pk", flat=True))
    coach.post(ground.url("fill_plan"), {"anew": "1"})
    assert pinned == {row for row in rows() if row[-1]} and Assignment.objects.count() == 12
    assert len(old & set(Assignment.objects.values_list("pk", flat=True))) == 1


def test_a_fill_is_taken_back_to_what_was(ground: Ground, coach: Client) -> None:
    put(ground, ground.cast.vaulter, block=1)
    before = rows()
    coach.post(ground.url("fill_plan"), {"anew": "1"})
    assert "Take the fill back" in text(coach.get(ground.url("plan")))
    page = page_after(coach, ground, "take_back_fill", fill=Fill.objects.get().pk)
    assert rows() == before and "Taken back." in page and "Take the fill back" not in page


def test_what_was_pinned_or_moved_since_stays_when_a_fill_is_taken_back(ground: Ground, coach: Client) -> None:
    coach.post(ground.url("fill_plan"))
    kept, moved = Assignment.objects.filter(block=ground.blocks[0])[:2]
    pin(by=ground.planner, practice=ground.practice, assignment=kept, pinned=True)
    other = ground.lane if moved.station_id == ground.floor.pk else ground.floor
    again = Put(ground.blocks[0], (), station=other, drill=ground.hold, moving=(moved.athlete,))
    Assignment.objects.filter(station=other, block=ground.blocks[0]).delete()
    assign(by=ground.planner, practice=ground.practice, put=again)
    coach.post(ground.url("take_back_fill", fill=Fill.objects.get().pk))
    assert {(row[1], row[2]) for row in rows()} == {(kept.athlete_id, kept.station_id), (moved.athlete_id, other.pk)}


def test_a_fill_is_taken_back_once(ground: Ground) -> None:
    made = actions.fill(by=ground.planner, practice=ground.practice).fill
    assert made is not None
    actions.take_back(by=ground.planner, practice=ground.practice, fill=made)
    with pytest.raises(NotNow):
        actions.take_back(by=ground.planner, practice=ground.practice, fill=made)


def test_nothing_comes_back_that_is_not_safe_any_more(ground: Ground, coach: Client) -> None:
    state(ground.cast.vaulter, ground.hold)
    put(ground, ground.cast.vaulter)
    coach.post(ground.url("fill_plan"), {"anew": "1"})
    Restriction.objects.create(
        club=ground.cast.club,
        athlete=ground.cast.vaulter,
        excludes=["floor"],
        what="nothing with a pole",
        starts_on=DAY,
    )
    before = rows()
    page = page_after(coach, ground, "take_back_fill", fill=Fill.objects.get().pk)
    assert "That did not work" in page and "under a restriction" in page and rows() == before
    assert Fill.objects.get().taken_back_at is None


def test_without_an_adult_the_page_says_so_and_nothing_is_stored(ground: Ground, coach: Client) -> None:
    AdultPresence.objects.all().delete()
    Station.objects.update(run_by=None)
    page = page_after(coach, ground, "fill_plan")
    assert "No place in block 1 for" in page and "no adult who may run it is at the station" in page
    assert "Say at the station who runs it." in page
    assert not Assignment.objects.exists() and not Fill.objects.exists()


def test_a_restricted_athlete_is_left_out_and_the_reason_of_the_restriction_is_nowhere(
    ground: Ground, coach: Client
) -> None:
    Restriction.objects.create(
        club=ground.cast.club, athlete=ground.cast.vaulter, excludes=["floor"], what="rest", reason="a sore knee",
        starts_on=DAY,
    )  # fmt: skip
    page = page_after(coach, ground, "fill_plan")
    assert Assignment.objects.count() == 10
    assert "for Nandi" in page and "a restriction excludes it" in page and "sore knee" not in page


def test_a_plan_that_changed_meanwhile_is_not_overrun(ground: Ground, coach: Client, monkeypatch: Any) -> None:
    search = actions.filler.fill

    def slow(*args: Any) -> Any:
        found = search(*args)
        put(ground, ground.cast.vaulter)
        return found

    monkeypatch.setattr(type(actions.filler), "fill", lambda self, *args: slow(*args))
    page = page_after(coach, ground, "fill_plan")
    assert "The plan was changed meanwhile, so nothing was filled." in page and Assignment.objects.count() == 1


def test_a_called_off_practice_and_one_without_blocks_offer_no_fill(ground: Ground, coach: Client) -> None:
    assert "Fill for me" in text(coach.get(ground.url("plan")))
    Block.objects.all().delete()
    assert "Fill for me" not in text(coach.get(ground.url("plan")))


# Pins


def test_a_place_is_pinned_and_the_pin_taken_out(ground: Ground, coach: Client) -> None:
    put(ground, ground.cast.vaulter)
    row = Assignment.objects.get()
    assert "Pin here" in text(coach.get(ground.url("plan"), {"pick": str(row.pk)}))
    assert "chip pin" in page_after(coach, ground, "pin", {"pinned": "1"}, assignment=row.pk)
    assert Assignment.objects.get().pinned
    assert "Take the pin out" in text(coach.get(ground.url("plan"), {"pick": str(row.pk)}))
    coach.post(ground.url("pin", assignment=row.pk), {"pinned": "0"})
    assert not Assignment.objects.get().pinned


def test_a_pinned_place_is_never_taken_in_an_exchange(ground: Ground) -> None:
    put(ground, ground.cast.vaulter)
    row = Assignment.objects.get()
    pin(by=ground.planner, practice=ground.practice, assignment=row, pinned=True)
    assert exchange(by=ground.planner, practice=ground.practice, taken=[row.pk], puts=[]).taken == ()
    assert Assignment.objects.get() == row


# Why here, and who may try what


def test_a_chosen_place_says_why_and_what_was_checked(ground: Ground, coach: Client) -> None:
    gate = ground.hold.checkpoints.get()
    for day in (1, 2):
        DayCheckpoint.objects.create(
            club=ground.cast.club, athlete=ground.cast.vaulter, drill=ground.hold, checkpoint=gate,
            day=DAY.replace(month=2, day=20 + day), watched=5, faulty=3,
        )  # fmt: skip
    put(ground, ground.cast.vaulter)
    page = text(coach.get(ground.url("plan"), {"pick": str(Assignment.objects.get().pk)}))
    assert "Why here" in page and "Aims at height: faulty in 6 of 10 watched of late." in page
    assert "Marta stands at Floor in this block." in page


def test_a_place_that_no_figure_opens_says_so(ground: Ground, coach: Client) -> None:
    put(ground, ground.cast.vaulter, drill=ground.walk)
    page = text(coach.get(ground.url("plan"), {"pick": str(Assignment.objects.get().pk)}))
    assert "No figure opens this drill" in page


def test_full_effort_says_the_load_and_what_came_before(ground: Ground, coach: Client) -> None:
    put(ground, *ground.athletes[:3], drill=ground.hold)
    put(ground, *ground.athletes[:3], block=1, drill=ground.run)
    row = Assignment.objects.filter(drill=ground.run).first()
    page = text(coach.get(ground.url("plan"), {"pick": str(row.pk)}))
    assert "After Carry hold in block 1, so warm for it." in page
    assert "Plant runs and box work in this practice: 8 of 16, with these." in page


def cell(ground: Ground, **more: Any) -> dict[str, Any]:
    return {"block": str(ground.blocks[0].pk), "station": str(ground.floor.pk), **more}


def test_an_open_cell_lists_what_may_be_tried_there_with_readiness_last_time_and_dose(
    ground: Ground, coach: Client
) -> None:
    state(ground.cast.vaulter, ground.hold)
    stand(ground.cast.vaulter, ground.walk)
    page = text(coach.get(ground.url("plan"), cell(ground)))
    offered = page.split("Who may try what here")[1]
    assert offered.index("Walking drop") and "likely range" in offered and "last done 4 days ago" in offered
    assert "no reps yet" in offered and "About 25 turns each if all of them come" in offered
    assert "Plant run" not in offered


def test_choosing_an_offer_ticks_its_names_and_drill(ground: Ground, coach: Client) -> None:
    wish = {"work": "drill:hold", "who": [str(ground.cast.vaulter.pk)]}
    page = text(coach.get(ground.url("plan"), cell(ground, **wish)))
    assert '<option value="drill:hold" selected>' in page
    assert page.count(" checked") == 1


def test_who_is_barred_today_is_not_offered(ground: Ground, coach: Client) -> None:
    Restriction.objects.create(
        club=ground.cast.club, athlete=ground.cast.vaulter, excludes=["floor"], what="rest", starts_on=DAY
    )
    page = text(coach.get(ground.url("plan"), cell(ground)))
    assert "<b>Eero</b>" in page.split("Who may try what here")[1]
    assert "<b>Nandi</b>" not in page.split("Who may try what here")[1]


# Queries


def test_the_page_with_a_place_chosen_asks_a_fixed_number_of_queries(
    ground: Ground, coach: Client, django_assert_num_queries: Any
) -> None:
    put(ground, ground.cast.vaulter)
    picked = {"pick": str(Assignment.objects.get().pk)}
    with django_assert_num_queries(PICKED):
        coach.get(ground.url("plan"), picked)
    put(ground, *ground.athletes[2:])
    for athlete in ground.athletes:
        state(athlete, ground.hold)
    with django_assert_num_queries(PICKED):
        coach.get(ground.url("plan"), picked)


PICKED = 40
