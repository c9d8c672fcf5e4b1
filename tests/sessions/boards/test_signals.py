"""What rises or falls is told to coaches, and set aside by the head coach; every decision can be looked up."""

from datetime import timedelta

import pytest
from django.urls import reverse

from sessions.trends.models import Signal, SignalSeen
from tests.builders import DAY, Cast
from tests.sessions.boards.helpers import get, make_course, practise, signed_in, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]


def rise(cast: Cast) -> None:
    """Eight good days, then all faulty."""
    first, _later = make_course(cast.club)
    days = [DAY - timedelta(days=2 * back) for back in reversed(range(10))]
    practise(cast.vaulter, first, {day: "1" * 6 if n < 8 else "0" * 6 for n, day in enumerate(days)})


@pytest.fixture
def today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sessions.trends.duty_handlers.club_today", lambda club: DAY)


@pytest.mark.usefixtures("today")
def test_a_rise_is_told_until_the_head_coach_sets_it_aside(cast: Cast) -> None:
    rise(cast)
    told = Signal.objects.get()
    assert (told.direction, told.watched, told.faulty) == ("rose", 12, 12)
    week = text_of(get(cast.head_coach, "week/"))
    assert "1 thing is worth a look" in week and "Nandi K., drop start: faults rose from" in week
    address = reverse("signal_seen", args=[cast.club.slug, cast.vaulter.pk, "drop-start"])
    assert signed_in(cast.assistant).post(address).status_code == 403
    assert signed_in(cast.head_coach).post(address).status_code == 302
    assert not Signal.objects.exists() and SignalSeen.objects.get().by == cast.head_coach.person
    assert "Worth a look" not in text_of(get(cast.head_coach, "week/"))


@pytest.mark.usefixtures("today")
def test_the_page_of_the_athlete_draws_the_weeks_and_says_the_rise(cast: Cast) -> None:
    rise(cast)
    page = get(cast.head_coach, f"athletes/{cast.vaulter.pk}/")
    assert 'class="rs trend"' in page.content.decode() and "week loud" in page.content.decode()
    assert "rose: 1 in 10 to 10 in 10" in text_of(page) and "Not enough yet." in text_of(page)


def test_every_decision_is_looked_up_with_its_figures(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    practise(cast.vaulter, first, {DAY - timedelta(days=2): "1101", DAY: "1011"})
    decide = reverse("decide", args=[cast.club.slug, cast.vaulter.pk, first.key])
    signed_in(cast.head_coach).post(decide, {"kind": "keep on", "back": "week"})
    shown = text_of(get(cast.assistant, "decisions/"))
    assert "Nandi K. Kept on , Standing drop. Marta, with the advice: 6 of 8 good of late" in shown
    assert "last counted reps: 4 of 5 good" in shown
    assert "No decision like that." in text_of(get(cast.head_coach, f"decisions/?athlete={cast.team_mate.pk}"))
    assert "Kept on , Standing drop" in text_of(get(cast.head_coach, f"decisions/?drill={first.key}"))
