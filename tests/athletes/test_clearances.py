"""Jumping needs the head coach's clearance of that athlete, pole, grip and run."""

from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.urls import reverse

from athletes.actions import CannotDecide, body, jumping, poles
from athletes.models import Clearance, Pole
from athletes.queries import jumping as queries
from club.models import AuditEntry
from club.roles import Permission
from drills.models import Activity
from tests.builders import Cast, aware

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)
NOON = aware(DAY, time(12))


@pytest.fixture
def jumps(cast: Cast) -> Activity:
    values = {"minutes": 30, "areas": ["box"], "adult": "contact", "poles": "rated", "needs_clearance": True}
    return Activity.objects.create(club=cast.club, key="jumping", name="Jumping, short run", **values)


@pytest.fixture
def heron(cast: Cast) -> Pole:
    body.measure(by=cast.head_coach, athlete=cast.vaulter, kind="mass", value=Decimal(55), on=DAY)
    values = {"length_m": Decimal("3.40"), "band_m": Decimal("3.20"), "rating_kg": Decimal(55)}
    return poles.add_pole(by=cast.head_coach, tag="Heron", **values)


def clear(cast: Cast, activity: Activity, pole: Pole, **overrides: Any) -> Clearance:
    values = {"by": cast.head_coach, "athlete": cast.vaulter, "grip_m": Decimal("3.10"), "steps": 6, "now": NOON}
    return jumping.clear(activity=activity, pole=pole, **{**values, **overrides})


def holds(cast: Cast, day: date = DAY) -> list[tuple[bool, bool]]:
    found = queries.cleared(cast.head_coach.acting(Permission.DECIDE), [cast.vaulter], day).get(cast.vaulter.pk, [])
    return [(one.holds, one.due) for one in found]


def test_the_head_coach_clears_with_a_pole_a_grip_and_a_run_and_it_is_on_record(
    cast: Cast, jumps: Activity, heron: Pole
) -> None:
    row = clear(cast, jumps, heron)
    assert (row.by, row.day, row.steps) == (cast.head_coach.person, DAY, 6) and holds(cast) == [(True, False)]
    assert AuditEntry.objects.filter(kind="cleared an athlete for jumping").count() == 1
    for act in (lambda by: clear(cast, jumps, heron, by=by), lambda by: jumping.end(by=by, clearance=row, now=NOON)):
        with pytest.raises(PermissionDenied):
            act(cast.assistant)


def test_another_grip_on_the_same_pole_takes_the_place_of_the_one_before(
    cast: Cast, jumps: Activity, heron: Pole
) -> None:
    clear(cast, jumps, heron)
    clear(cast, jumps, heron, grip_m=Decimal("3.15"), now=NOON + timedelta(hours=1))
    assert Clearance.objects.count() == 2
    [live] = Clearance.objects.filter(ended_at=None)
    assert live.grip_m == Decimal("3.15")
    jumping.end(by=cast.head_coach, clearance=live, now=NOON)
    jumping.end(by=cast.head_coach, clearance=live, now=NOON)
    assert holds(cast) == [] and AuditEntry.objects.filter(kind="ended a clearance for jumping").count() == 1


@pytest.mark.parametrize(
    ("pole", "grip", "says"),
    [
        ({}, "3.20", "band"),
        ({}, "3.40", "not as long"),
        ({"rating_kg": Decimal("54.9")}, "3.10", "over the rating"),
        ({"rating_kg": None}, "3.10", "no rating"),
        ({"state": Pole.State.WITHDRAWN, "why": "crack"}, "3.10", "withdrawn"),
    ],
)
def test_a_pole_that_does_not_fit_is_never_cleared(
    cast: Cast, jumps: Activity, heron: Pole, pole: dict[str, Any], grip: str, says: str
) -> None:
    Pole.objects.update(**pole)
    with pytest.raises(CannotDecide, match=says):
        clear(cast, jumps, heron, grip_m=Decimal(grip))
    assert not Clearance.objects.exists()


def test_who_was_never_weighed_or_long_ago_is_weighed_first(cast: Cast, jumps: Activity, heron: Pole) -> None:
    for values in ({"athlete": cast.team_mate}, {"now": NOON + timedelta(days=31)}):
        with pytest.raises(CannotDecide, match="weigh"):
            clear(cast, jumps, heron, **values)


def test_it_holds_only_while_the_pole_fits(cast: Cast, jumps: Activity, heron: Pole) -> None:
    clear(cast, jumps, heron)
    assert holds(cast, DAY + timedelta(days=30)) == [(True, False)]
    assert holds(cast, DAY + timedelta(days=31)) == [(True, True)]
    body.measure(by=cast.head_coach, athlete=cast.vaulter, kind="mass", value=Decimal("55.1"), on=DAY)
    assert holds(cast) == [(False, False)]


def test_the_profile_shows_it_and_a_bad_form_keeps_what_was_typed(
    cast: Cast, jumps: Activity, heron: Pole, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("club.clock.timezone.now", lambda: NOON)
    client.force_login(cast.head_coach.person)
    url = reverse("clear_athlete", args=[cast.club.slug, cast.vaulter.pk])
    sent = {"activity": "jumping", "pole": heron.pk, "grip_m": "3.20 m", "steps": "6"}
    refused = client.post(url, sent)
    assert refused.status_code == 422 and "below it" in refused.content.decode()
    assert 'value="3.20 m"' in refused.content.decode() and not Clearance.objects.exists()
    page = client.post(url, {**sent, "grip_m": "3.10 m"}, follow=True).content.decode()
    assert "Jumping, short run" in page and "Heron, grip 3.10" in page and "Cleared by" in page
    client.force_login(cast.assistant.person)
    page = client.get(reverse("athlete_profile", args=[cast.club.slug, cast.vaulter.pk])).content.decode()
    assert "Heron, grip 3.10" in page and "End this clearance" not in page
