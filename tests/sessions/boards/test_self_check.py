"""The question after a practice: when it is open, who reads the answer, and what it says of who reads it."""

from datetime import time, timedelta

import pytest
from django.urls import reverse

from club.models import AuditEntry
from sessions.boards.models import SelfCheck
from sessions.practices.models import Attendance, Practice
from tests.builders import DAY, Cast, aware, make_practice, make_squad
from tests.sessions.boards.helpers import get, signed_in, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]
NOW = {"published_at": aware(DAY)}
QUESTION = "How did it feel?"


@pytest.fixture
def practice(cast: Cast) -> Practice:
    squads = [make_squad(cast.club, cast.vaulter, cast.team_mate)]
    return make_practice(cast.club, day=DAY - timedelta(days=1), squads=squads, **NOW)


def answer(cast: Cast, practice: Practice, by=None, **data: str) -> str:
    client = signed_in(by or cast.athlete)
    url = reverse("self_check", kwargs={"club": cast.club.slug, "practice": practice.pk})
    got = client.post(url, {"feel": "together", **data}, follow=True)
    return text_of(got) if got.status_code == 200 else str(got.status_code)


def test_it_is_asked_after_the_practice_and_says_that_nobody_reads_it_at_once(cast: Cast, practice: Practice) -> None:
    shown = text_of(get(cast.athlete, "my/"))
    assert QUESTION in shown and "Nobody reads it at once: if you are hurt or worried, tell a person." in shown
    Practice.objects.update(day=DAY, starts=time(17))
    assert QUESTION not in text_of(get(cast.athlete, "my/"))


def test_the_answer_is_kept_once_and_can_be_changed(cast: Cast, practice: Practice) -> None:
    assert "Your coaches read it before the next practice." in answer(cast, practice, words="The tip stayed low.")
    answer(cast, practice, feel="not yet", words="")
    row = SelfCheck.objects.get()
    assert (row.athlete, row.feel, row.words) == (cast.vaulter, "not yet", "")
    assert AuditEntry.objects.filter(kind="answered the question after a practice").count() == 2


def test_coaches_and_own_guardians_read_it_and_nobody_else(cast: Cast, practice: Practice) -> None:
    answer(cast, practice, words="The tip stayed low.")
    said = "It came together. “The tip stayed low.”"
    assert said in text_of(get(cast.parent, f"children/{cast.vaulter.pk}/"))
    for coach in (cast.head_coach, cast.assistant):
        assert "“The tip stayed low.”" in text_of(get(coach, f"athletes/{cast.vaulter.pk}/"))
    assert get(cast.helper, f"athletes/{cast.vaulter.pk}/").status_code == 403
    assert said not in text_of(get(cast.head_coach, f"athletes/{cast.team_mate.pk}/"))


@pytest.mark.parametrize("data", [{"feel": "splendid"}, {"words": "x" * 201}])
def test_what_is_no_answer_is_refused_with_words(cast: Cast, practice: Practice, data: dict[str, str]) -> None:
    assert "Choose one of the three answers" in answer(cast, practice, **data)
    assert not SelfCheck.objects.exists()


def test_it_closes_after_a_week_and_for_whoever_was_not_there(cast: Cast, practice: Practice) -> None:
    about = {"club": cast.club, "practice": practice, "athlete": cast.vaulter, "at": aware(DAY)}
    Attendance.objects.create(**about, state="absent")
    assert QUESTION not in text_of(get(cast.athlete, "my/"))
    Attendance.objects.all().delete()
    Practice.objects.update(day=DAY - timedelta(days=7))
    assert QUESTION not in text_of(get(cast.athlete, "my/"))
    assert "The question is open from the end of a practice for a week." in answer(cast, practice)
    assert not SelfCheck.objects.exists()


def test_only_the_athlete_answers_and_only_of_their_own_practices(cast: Cast, practice: Practice) -> None:
    assert answer(cast, practice, by=cast.parent) == answer(cast, practice, by=cast.head_coach) == "403"
    others = make_practice(cast.club, day=DAY - timedelta(days=1), **NOW)
    assert answer(cast, others) == "404"
