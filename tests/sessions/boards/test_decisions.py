"""One touch on the week page, on a cell of the board and on the athlete's page: kept, said, taken back."""

import re
from datetime import timedelta

import pytest

from athletes.actions.decisions import decide
from athletes.core.standing import DecisionKind
from athletes.models import Decision, Notice, Standing
from club.models import AuditEntry
from tests.builders import DAY, Cast, make_checkpoint, make_drill
from tests.sessions.boards.helpers import NOON, get, make_course, practise, signed_in, text_of
from tests.sessions.trends.rep_builders import roll_up

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]
DAYS = (DAY - timedelta(days=6), DAY - timedelta(days=2))
SETTLED = {DAYS[0]: "11111111", DAYS[1]: "11111111"}
HTMX = {"HX-Request": "true"}


def settled(cast: Cast):
    first, later = make_course(cast.club)
    practise(cast.vaulter, first, SETTLED)
    return first, later


def at_the_wall(cast: Cast):
    """A run that settles, and the wall that it leads to."""
    run = make_drill(cast.club, gate=(make_checkpoint(cast.club),), key="run", name="Run", risk="moving")
    wall = make_drill(
        cast.club, key="wall", name="Wall plant", risk="contact", adult="contact", needs=(run,), entry_drill=run
    )
    practise(cast.vaulter, run, SETTLED)
    return run, wall


def press(member, athlete, drill, kind: str, back: str = "week", **headers: str):
    url = f"/c/{member.club.slug}/athletes/{athlete.pk}/drills/{drill.key}/decide/"
    return signed_in(member).post(url, {"kind": kind, "back": back}, headers=headers)


def test_a_touch_is_kept_with_who_when_the_figures_and_the_advice(cast: Cast) -> None:
    first, _later = settled(cast)
    answer = press(cast.head_coach, cast.vaulter, first, "settled", **HTMX)
    row = Decision.objects.get()
    assert (row.kind, row.side, row.advice, row.day, row.at) == ("settled", "with", "settled", DAY, NOON)
    assert row.by == cast.head_coach.person and row.figures["reps"] == 16 and row.figures["low"] > 0.65
    assert row.figures["lately"] == {"good": 16, "counted": 16, "days": 2}
    shown = text_of(answer)
    assert "You called Standing drop settled for Nandi K. at 12:00, with the advice (16 of 16 good of late" in shown
    assert "Undo" in shown and b"<html" not in answer.content
    assert AuditEntry.objects.filter(kind="called a drill settled").exists()


def test_what_is_decided_is_no_longer_asked_and_against_the_advice_is_said(cast: Cast) -> None:
    first, _later = settled(cast)
    assert "Settled, leads on" in text_of(get(cast.head_coach, "week/"))
    press(cast.head_coach, cast.vaulter, first, "keep on")
    roll_up()
    shown = text_of(get(cast.head_coach, "week/"))
    assert "Settled, leads on" not in shown and "against the advice" in shown and "Decided just now" in shown
    practise(cast.vaulter, first, {DAY + timedelta(days=1): "1"})
    assert "Settled, leads on" in text_of(get(cast.head_coach, "week/"))


def test_without_script_the_touch_comes_back_to_its_page(cast: Cast) -> None:
    first, _later = settled(cast)
    places = {"week": "week/#advice", "cell": f"board/{cast.vaulter.pk}/{first.key}/",
              "athlete": f"athletes/{cast.vaulter.pk}/#decisions"}  # fmt: skip
    for back, url in places.items():
        answer = press(cast.head_coach, cast.vaulter, first, "keep on", back)
        assert answer.status_code == 302 and answer["Location"] == f"/c/{cast.club.slug}/{url}"


def test_the_same_touch_twice_is_one_decision(cast: Cast) -> None:
    first, _later = settled(cast)
    for _ in range(2):
        press(cast.head_coach, cast.vaulter, first, "keep on", **HTMX)
    assert Decision.objects.count() == 1


def test_a_decision_is_taken_back_while_it_is_fresh_and_both_stay(cast: Cast, monkeypatch) -> None:
    first, _later = settled(cast)
    press(cast.head_coach, cast.vaulter, first, "easier drill")
    roll_up()
    assert Standing.objects.get(athlete=cast.vaulter, drill=first).state == "open"
    row = Decision.objects.get()
    client = signed_in(cast.head_coach)
    answer = client.post(f"/c/{cast.club.slug}/decisions/{row.pk}/take-back/", {"back": "week"}, headers=HTMX)
    assert answer.status_code == 204 and answer["HX-Refresh"] == "true"
    roll_up()
    assert Standing.objects.get(athlete=cast.vaulter, drill=first).state == "settled"
    assert set(Decision.objects.values_list("kind", flat=True)) == {"easier drill", "taken back"}
    page = text_of(get(cast.head_coach, f"athletes/{cast.vaulter.pk}/"))
    assert "Easier drill , Standing drop. Marta, against the advice" in page and "Taken back by Marta." in page
    client.post(f"/c/{cast.club.slug}/decisions/{row.pk}/take-back/", {"back": "week"})
    assert Decision.objects.count() == 2


def test_what_is_half_an_hour_old_is_not_taken_back(cast: Cast) -> None:
    first, _later = settled(cast)
    old = decide(by=cast.head_coach, athlete=cast.vaulter, drill=first, kind=DecisionKind.SETTLED, today=DAY,
                 now=NOON - timedelta(minutes=31))  # fmt: skip
    signed_in(cast.head_coach).post(f"/c/{cast.club.slug}/decisions/{old.pk}/take-back/", {"back": "week"})
    assert Decision.objects.count() == 1
    assert "Undo" not in text_of(get(cast.head_coach, "week/"))


def test_decisions_cannot_be_changed_or_deleted(cast: Cast) -> None:
    first, _later = settled(cast)
    press(cast.head_coach, cast.vaulter, first, "settled")
    row = Decision.objects.get()
    for change in (row.save, row.delete, Decision.objects.all().delete, lambda: Decision.objects.update(side="with")):
        with pytest.raises(TypeError, match="append-only"):
            change()


# Contact


def test_contact_is_asked_for_each_time_and_opens_by_the_touch(cast: Cast) -> None:
    _run, wall = at_the_wall(cast)
    shown = text_of(get(cast.head_coach, "week/"))
    assert "Open the next drill?" in shown and "Run is settled by figures (low end" in shown
    assert "come first." in shown.split("Open the next drill?")[1]
    assert "Open Wall plant" in shown and "Not yet" in shown
    assert "Open Wall plant" not in text_of(get(cast.assistant, "week/"))
    press(cast.head_coach, cast.vaulter, wall, "touch")
    roll_up()
    row = Standing.objects.get(athlete=cast.vaulter, drill=wall)
    assert (row.state, row.opened_by, Decision.objects.get().side) == ("open", "contact touch", "with")
    assert "with the advice (Run: low end 7" in text_of(get(cast.head_coach, "week/"))
    assert "Open the next drill?" not in text_of(get(cast.head_coach, "week/"))


def test_not_yet_puts_it_off_until_the_next_practice(cast: Cast) -> None:
    run, wall = at_the_wall(cast)
    press(cast.head_coach, cast.vaulter, wall, "keep on")
    roll_up()
    assert "Open the next drill?" not in text_of(get(cast.head_coach, "week/"))
    practise(cast.vaulter, run, {DAY + timedelta(days=1): "1"})
    assert "Open the next drill?" in text_of(get(cast.head_coach, "week/"))


def test_a_contact_drill_whose_entry_is_not_settled_cannot_be_touched(cast: Cast) -> None:
    run, wall = at_the_wall(cast)
    answer = press(cast.head_coach, cast.team_mate, wall, "touch", **HTMX)
    assert "once its entry drill is settled by figures" in text_of(answer) and not Decision.objects.exists()
    client = signed_in(cast.head_coach)
    url = f"/c/{cast.club.slug}/athletes/{cast.team_mate.pk}/drills/{wall.key}/decide/"
    assert "once its entry drill is settled by figures" in text_of(client.post(url, {"kind": "touch"}, follow=True))
    roll_up()
    assert not Standing.objects.filter(drill=wall, state__in=["open", "settled"]).exists()


@pytest.mark.parametrize("kind", ["place", "nonsense", "", "taken back"])
def test_what_is_no_decision_of_this_page_is_refused(cast: Cast, kind: str) -> None:
    first, _later = settled(cast)
    answer = press(cast.head_coach, cast.vaulter, first, kind, **HTMX)
    assert "Nothing was kept." in text_of(answer) and not Decision.objects.exists()


def test_a_moving_drill_is_opened_earlier_than_figures_would(cast: Cast) -> None:
    _first, later = make_course(cast.club)
    practise(cast.vaulter, _first, {DAYS[0]: "11"})
    page = text_of(get(cast.head_coach, f"athletes/{cast.vaulter.pk}/"))
    assert "Standing drop: too little seen" in page and "Open Six-step walk" in page
    press(cast.head_coach, cast.vaulter, later, "touch", "athlete")
    roll_up()
    row = Standing.objects.get(athlete=cast.vaulter, drill=later)
    assert (row.state, row.opened_by, Decision.objects.get().side) == ("open", "touch", "against")


# Who, and where


def test_assistants_read_decisions_and_only_the_head_coach_makes_them(cast: Cast) -> None:
    first, _later = settled(cast)
    for member in (cast.assistant, cast.helper, cast.athlete, cast.parent, cast.officer):
        assert press(member, cast.vaulter, first, "settled").status_code == 403
    assert press(cast.outsider, cast.vaulter, first, "settled").status_code == 404
    assert not Decision.objects.exists()
    press(cast.head_coach, cast.vaulter, first, "settled")
    page = get(cast.assistant, f"athletes/{cast.vaulter.pk}/")
    assert "Settled , Standing drop. Marta, with the advice: 16 of 16 good of late" in text_of(page)
    main = page.content.decode().split("<main")[1].split("</main>")[0]
    assert "<button" not in main


def test_a_cell_offers_the_same_and_answers_with_itself(cast: Cast) -> None:
    first, later = settled(cast)
    address = f"board/{cast.vaulter.pk}/{first.key}/"
    shown = get(cast.head_coach, address, **HTMX)
    assert 'hx-target="#board_cell"' in shown.content.decode() and "Settled by figures since" in text_of(shown)
    answer = press(cast.head_coach, cast.vaulter, first, "settled", "cell", **HTMX)
    assert 'id="board_cell_title"' in answer.content.decode() and "Undo" in text_of(answer)
    row = Decision.objects.get()
    back = signed_in(cast.head_coach).post(
        f"/c/{cast.club.slug}/decisions/{row.pk}/take-back/", {"back": "cell"}, headers=HTMX
    )
    assert 'id="board_cell_title"' in back.content.decode() and "Undo" not in text_of(back)
    assert "<button" not in get(cast.assistant, address, **HTMX).content.decode()


def test_a_notice_goes_to_the_head_coach_alone_until_it_is_set_aside(cast: Cast) -> None:
    _run, wall = at_the_wall(cast)
    practise(cast.team_mate, wall, {DAY: "1"})
    said = "a contact drill that was not open. They were kept."
    assert said in text_of(get(cast.head_coach, "week/")) and said not in text_of(get(cast.assistant, "week/"))
    notice = Notice.objects.get()
    url = f"/c/{cast.club.slug}/notices/{notice.pk}/set-aside/"
    assert signed_in(cast.assistant).post(url).status_code == 403
    assert signed_in(cast.head_coach).post(url).status_code == 302
    assert said not in text_of(get(cast.head_coach, "week/"))


def test_every_button_says_its_act_and_its_athlete(cast: Cast) -> None:
    settled(cast)
    body = get(cast.head_coach, "week/").content.decode().split("<main")[1]
    buttons = re.findall(r"<button[^>]*aria-label=\"([^\"]+)\"[^>]*>([^<]+)<", body)
    assert buttons and all(label.startswith(f"{words}: Nandi K.") for label, words in buttons)
