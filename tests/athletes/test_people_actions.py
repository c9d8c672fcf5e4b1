"""Restrictions, measurements, cards, poles, notebooks: what is written, what binds, who reads."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.test import Client
from django.utils import timezone

from athletes.actions import body, poles, profile, restrictions
from athletes.actions.restrictions import ClearanceMissing
from athletes.core.poles import Fit
from athletes.core.restrictions import in_force
from athletes.core.standing import DecisionKind
from athletes.forms.fields import LengthField, MassField
from athletes.forms.poles import EntryForm
from athletes.models import (
    AthleteNote,
    CardLook,
    Decision,
    EmergencyCard,
    Measurement,
    NotebookEntry,
    Pole,
    Restriction,
)
from athletes.queries import profile as queries
from athletes.queries.standing import decisions_since
from club.clock import club_today
from club.erasure import erase_person
from club.members import Member
from club.models import AuditEntry, BarredContact, Guardianship, Person
from club.roles import Permission
from tests.builders import Cast, make_drill

TODAY = date(2026, 3, 2)
DAY = timedelta(days=1)
pytestmark = pytest.mark.django_db


@pytest.fixture
def coach(cast: Cast) -> Member:
    return cast.head_coach.acting(Permission.ATHLETE_EDIT)


def page(member: Member, path: str, **posted: object) -> str:
    client = Client()
    client.force_login(member.person)
    address = f"/c/{member.club.slug}/{path}"
    answer = client.post(address, posted, follow=True) if posted else client.get(address)
    assert answer.status_code == 200, (answer.status_code, path)
    return answer.content.decode()


# --- restrictions --------------------------------------------------------------------------------


def test_what_a_guardian_reports_in_three_taps_binds_at_once_until_a_coach_answers(cast: Cast, coach: Member) -> None:
    said = page(cast.parent, f"children/{cast.vaulter.pk}/restriction/", much="moving", days="0")
    row = Restriction.objects.get()
    assert (sorted(row.excludes), row.unanswered, row.reported_by) == (["contact", "moving"], True, cast.parent.person)
    assert "until a coach has spoken to you" in said
    later = row.starts_on + 30 * DAY
    assert in_force(row.value(), later)
    page(cast.head_coach, f"athletes/restrictions/{row.pk}/answer/", ends_on=str(row.starts_on))
    row.refresh_from_db()
    assert not row.unanswered and not in_force(row.value(), later) and in_force(row.value(), row.starts_on)


def test_a_knock_to_the_head_excludes_everything_whatever_else_was_tapped(cast: Cast) -> None:
    page(cast.parent, f"children/{cast.vaulter.pk}/restriction/", much="contact", days="6", head="on")
    row = Restriction.objects.get()
    assert row.needs_clearance and row.ends_on is None and sorted(row.excludes) == ["contact", "floor", "moving"]


def test_a_head_injury_is_lifted_only_by_a_recorded_clearance(cast: Cast, coach: Member) -> None:
    row = restrictions.restrict(
        by=coach, athlete=cast.vaulter, what="no practice", excludes=["floor"], starts_on=TODAY, needs_clearance=True
    )
    now = timezone.now()
    for missing in (
        {},
        {"clearance_by": "Dr Hollis"},
        {"clearance_on": TODAY},
        {"clearance_by": " ", "clearance_on": TODAY},
    ):
        with pytest.raises(ClearanceMissing):
            restrictions.lift(by=coach, restriction=row, now=now, **missing)
    with pytest.raises(IntegrityError), transaction.atomic():
        Restriction.objects.filter(pk=row.pk).update(lifted_at=now)
    restrictions.lift(by=coach, restriction=row, now=now, clearance_by="Dr Hollis", clearance_on=TODAY)
    row.refresh_from_db()
    assert row.lifted_by == coach.person and not in_force(row.value(), TODAY + DAY)


def test_an_answer_does_not_lift_a_head_injury(cast: Cast, coach: Member) -> None:
    row = restrictions.report(
        by=cast.parent, athlete=cast.vaulter, what="head", excludes=[], starts_on=TODAY, head=True
    )
    restrictions.answer(by=coach, restriction=row, ends_on=TODAY)
    row.refresh_from_db()
    assert in_force(row.value(), TODAY + 90 * DAY)


def test_assistants_see_what_is_excluded_and_not_why(cast: Cast, coach: Member) -> None:
    today = club_today(cast.club)
    restrictions.restrict(
        by=coach, athlete=cast.vaulter, what="no box", excludes=["contact"], starts_on=today, reason="stitches"
    )
    for member, tells in ((cast.assistant, False), (cast.head_coach, True)):
        text = page(member, f"athletes/{cast.vaulter.pk}/profile/")
        assert "no box" in text and ("stitches" in text) is tells


def test_an_assistant_lays_a_restriction_and_reads_the_reason_no_more(cast: Cast) -> None:
    today = str(club_today(cast.club))
    laid = {"what": "no box", "excludes": ["contact"], "starts_on": today, "reason": "stitches"}
    said = page(cast.assistant, f"athletes/{cast.vaulter.pk}/restrict/", **laid)
    assert "no box" in said and "stitches" not in said
    row = Restriction.objects.get()
    assert row.reason == "stitches" and in_force(row.value(), row.starts_on)
    client = Client()
    client.force_login(cast.assistant.person)
    assert client.post(f"/c/{cast.club.slug}/athletes/restrictions/{row.pk}/lift/", {"x": 1}).status_code == 403


def test_a_guardian_without_the_right_cannot_report(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.parent.person)
    mate = f"/c/{cast.club.slug}/children/{cast.team_mate.pk}/restriction/"
    assert client.post(mate, {"much": "all"}).status_code == 404 and not Restriction.objects.exists()


# --- measurements and poles ----------------------------------------------------------------------


def test_a_measurement_replaces_that_of_the_same_day_and_the_audit_says_no_value(cast: Cast, coach: Member) -> None:
    for value in ("51.3", "51.5"):
        body.measure(by=coach, athlete=cast.vaulter, kind="mass", value=Decimal(value), on=TODAY)
    assert [str(row.value.normalize()) for row in Measurement.objects.all()] == ["51.5"]
    assert "51" not in str(list(AuditEntry.objects.values_list("values", flat=True)).__repr__())


def test_an_exact_tenth_of_a_pound_survives_the_database(cast: Cast, coach: Member) -> None:
    cast.club.units = "imperial"
    field = MassField(cast.club, "15", "250")
    rating, over = field.clean("130"), field.clean("130.1")
    pole = poles.add_pole(by=coach, tag="T1", length_m=Decimal("3.7"), rating_kg=rating)
    pole.refresh_from_db()
    for value, fit in ((rating, Fit.FITS), (over, Fit.DOES_NOT_FIT)):
        body.measure(by=coach, athlete=cast.vaulter, kind="mass", value=value, on=TODAY)
        assert [one.answer.fit for one in queries.pole_fits(coach, cast.vaulter, TODAY)] == [fit]


def test_a_clearance_up_to_a_rating_stands_for_a_mass_and_grows_old_like_one(cast: Cast, coach: Member) -> None:
    poles.add_pole(by=coach, tag="T1", length_m=Decimal("3.7"), rating_kg=Decimal(60))
    body.measure(by=coach, athlete=cast.vaulter, kind="cleared", value=Decimal(60), on=TODAY - 30 * DAY)
    fits = [queries.pole_fits(coach, cast.vaulter, TODAY + n * DAY)[0].answer.fit for n in (0, 1)]
    assert fits == [Fit.FITS, Fit.CHECK_DUE]


def test_assistants_read_fits_and_tags_and_neither_masses_nor_ratings(cast: Cast, coach: Member) -> None:
    today = club_today(cast.club)
    poles.add_pole(by=coach, tag="Heron", length_m=Decimal("3.77"), rating_kg=Decimal("63.5"))
    body.measure(by=coach, athlete=cast.vaulter, kind="mass", value=Decimal("58.25"), on=today)
    for path in (f"athletes/{cast.vaulter.pk}/profile/", "poles/"):
        text = page(cast.assistant, path)
        assert "Heron" in text and not any(word in text for word in ("63.5", "58.2", "58.3", "3.77"))
    assert "<td>fits</td>" in page(cast.assistant, f"athletes/{cast.vaulter.pk}/profile/")
    assert "63.5 kg" in page(cast.head_coach, "poles/")


def test_a_withdrawn_pole_says_why_and_fits_nobody(cast: Cast, coach: Member) -> None:
    pole = poles.add_pole(by=coach, tag="T1", length_m=Decimal("3.7"), rating_kg=Decimal(60))
    page(cast.assistant, f"poles/{pole.pk}/withdraw/", why="a crack")
    pole.refresh_from_db()
    assert (pole.state, pole.why) == (Pole.State.WITHDRAWN, "a crack")
    assert queries.pole_fits(coach, cast.vaulter, TODAY) == []
    with pytest.raises(IntegrityError), transaction.atomic():
        Pole.objects.filter(pk=pole.pk).update(why="")


def test_lengths_are_typed_in_the_clubs_units_and_come_back_as_typed(cast: Cast) -> None:
    cast.club.units = "imperial"
    field = LengthField(cast.club, "1", "6")
    grip = field.clean("11'6")
    assert grip == Decimal("3.5052") and field.prepare_value(grip) == "11 ft 6 in"
    assert field.clean(field.prepare_value(grip)) == grip
    for wrong in ("11", "40 ft", "tall"):
        with pytest.raises(ValidationError):
            field.clean(wrong)


# --- cards ---------------------------------------------------------------------------------------


def test_each_look_of_the_head_coach_is_logged_and_the_guardian_sees_it(cast: Cast) -> None:
    page(cast.parent, f"athletes/{cast.vaulter.pk}/card/keep/", allergies="wasp stings", also_call="Gran 07700 900177")
    BarredContact.objects.create(club=cast.club, child=cast.vaulter.person, name="Rex Crane", note="red van")
    text = page(cast.head_coach, f"athletes/{cast.vaulter.pk}/card/", sure="yes")
    assert "wasp stings" in text and "Rex Crane (red van)" in text and "Thandi Kestrel" in text
    look = CardLook.objects.get()
    assert (look.by, look.athlete) == (cast.head_coach.person, cast.vaulter)
    assert "Marta looked at the emergency card" in page(cast.parent, f"children/{cast.vaulter.pk}/")
    assert "Marta" in page(cast.athlete, f"athletes/{cast.vaulter.pk}/card/keep/")


def test_a_barred_tie_stays_on_the_card_after_its_last_day_and_an_ended_one_does_not(cast: Cast) -> None:
    tie = Guardianship.objects.get(guardian=cast.parent.person, child=cast.vaulter.person)
    today = club_today(cast.club)
    Guardianship.objects.filter(pk=tie.pk).update(until=today - timedelta(days=1))
    ended = queries.card(cast.club, cast.vaulter, today)
    assert (ended.guardians, ended.barred) == ([], [])
    rights = dict.fromkeys(("sees_progress", "may_collect", "may_consent", "gets_mail"), False)
    Guardianship.objects.filter(pk=tie.pk).update(barred=True, **rights)
    card = queries.card(cast.club, cast.vaulter, today)
    assert (card.guardians, card.barred) == ([], [cast.parent.person.full_name])


def test_no_page_shows_a_card_by_get_and_no_look_goes_unlogged(cast: Cast) -> None:
    EmergencyCard.objects.create(club=cast.club, athlete=cast.vaulter, allergies="wasp stings", kept_at=timezone.now())
    client = Client()
    client.force_login(cast.head_coach.person)
    slug = cast.club.slug
    assert client.get(f"/c/{slug}/athletes/{cast.vaulter.pk}/card/").status_code == 405
    assert "wasp" not in page(cast.head_coach, f"athletes/{cast.vaulter.pk}/profile/")
    client.force_login(cast.assistant.person)
    assert client.post(f"/c/{slug}/athletes/{cast.vaulter.pk}/card/").status_code == 404
    assert not CardLook.objects.exists()


# --- notes, notebook, placements -----------------------------------------------------------------


def test_each_note_reaches_its_readers_and_nobody_else(cast: Cast, coach: Member) -> None:
    for reader in AthleteNote.Reader.values:
        profile.add_note(by=coach, athlete=cast.vaulter, text=f"for {reader}", reader=reader, now=timezone.now())
    own = f"athletes/{cast.vaulter.pk}/profile/"
    read = {
        "head coach": page(cast.head_coach, own),
        "assistant": page(cast.assistant, own),
        "athlete": page(cast.athlete, "my/"),
        "parent": page(cast.parent, f"children/{cast.vaulter.pk}/"),
    }
    found = {
        who: {reader for reader in AthleteNote.Reader.values if f"for {reader}" in text} for who, text in read.items()
    }
    assert found == {
        "head coach": {"head", "coaches", "athlete"},
        "assistant": {"coaches", "athlete"},
        "athlete": {"athlete"},
        "parent": {"athlete"},
    }


def test_athletes_read_their_own_notebook_and_poles_by_tag(cast: Cast, coach: Member) -> None:
    pole = poles.add_pole(by=coach, tag="Heron", length_m=Decimal("3.7"), rating_kg=Decimal("63.5"))
    marks = {"grip_m": Decimal("3.21"), "mid_mark_m": Decimal("9.87"), "pole": pole}
    poles.note_marks(by=coach, athlete=cast.vaulter, on=TODAY, **marks)
    poles.note_marks(by=coach, athlete=cast.team_mate, on=TODAY, grip_m=Decimal("3.99"))
    text = page(cast.athlete, "my/notebook/")
    assert "Heron" in text and "3.21 m" in text and "9.87 m" in text
    assert "63.5" not in text and "3.99" not in text
    assert not NotebookEntry.objects.for_member(cast.parent.acting(Permission.CHILD_READ)).exists()


@pytest.mark.parametrize(
    ("band", "grip", "said"),
    [
        ("3.5", "3.49 m", ""),
        ("3.5", "3.50 m", "Never above the pole’s band"),
        ("3.5", "3.60 m", "Never above the pole’s band"),
        ("3.5", "3.70 m", "The pole is not as long as that."),
        (None, "3.69 m", ""),
        (None, "3.70 m", "The pole is not as long as that."),
    ],
)
def test_the_notebook_refuses_a_grip_above_the_band_or_the_end_of_the_pole(
    cast: Cast, coach: Member, band: str | None, grip: str, said: str
) -> None:
    pole = poles.add_pole(by=coach, tag="Heron", length_m=Decimal("3.7"), band_m=band and Decimal(band))
    form = EntryForm(coach, TODAY, {"on": str(TODAY), "pole": str(pole.pk), "grip_m": grip})
    assert form.is_valid() is (not said)
    assert said in " ".join(form.errors.get("grip_m", []))


def test_a_grip_without_a_pole_is_held_against_the_poles_there_are(cast: Cast, coach: Member) -> None:
    def said(grip: str, drill: str = "") -> str:
        form = EntryForm(coach, TODAY, {"on": str(TODAY), "grip_m": grip, "drill": drill})
        return " ".join(form.errors.get("grip_m", []))

    make_drill(cast.club, key="wall", risk="contact")
    make_drill(cast.club, key="walk", risk="floor")
    assert said("3.40 m") == said("3.40 m", "walk") == "", "no pole is on record yet"
    poles.add_pole(by=coach, tag="Heron", length_m=Decimal("3.7"), band_m=Decimal("3.5"))
    poles.add_pole(by=coach, tag="Old", length_m=Decimal("3.4"))
    assert said("3.49 m") == ""
    assert "No pole of the club is held that high." in said("3.50 m")
    assert "say which pole" in said("3.00 m", "wall") and said("3.00 m", "walk") == ""


def test_a_reported_head_injury_is_answered_without_a_last_day(cast: Cast) -> None:
    page(cast.parent, f"children/{cast.vaulter.pk}/restriction/", much="contact", days="0", head="on")
    row = Restriction.objects.get()
    address = f"athletes/restrictions/{row.pk}/answer/"
    asked = page(cast.head_coach, address)
    assert "only a recorded clearance lifts it" in asked and 'name="ends_on"' not in asked
    page(cast.head_coach, address, ends_on=str(row.starts_on))
    row.refresh_from_db()
    assert not row.unanswered and row.ends_on is None and in_force(row.value(), row.starts_on + 90 * DAY)


def test_the_reason_is_read_by_those_whom_the_form_names(cast: Cast, coach: Member) -> None:
    today = club_today(cast.club)
    restrictions.restrict(
        by=coach, athlete=cast.vaulter, what="no box", excludes=["contact"], starts_on=today, reason="stitches"
    )
    assert "Only head coaches read this." in page(cast.assistant, f"athletes/{cast.vaulter.pk}/restrict/")
    for member, address in ((cast.athlete, "my/"), (cast.parent, f"children/{cast.vaulter.pk}/")):
        assert "no box" in (shown := page(member, address)) and "stitches" not in shown


def test_what_is_gone_for_good_is_asked_about_first(cast: Cast, coach: Member) -> None:
    athlete = cast.vaulter
    profile.add_note(by=coach, athlete=athlete, text="Tall.", reader="coaches", now=timezone.now())
    body.measure(by=coach, athlete=athlete, kind="height", value=Decimal("1.6"), on=TODAY)
    poles.note_marks(by=coach, athlete=athlete, on=TODAY, grip_m=Decimal(3))
    text = page(cast.head_coach, f"athletes/{athlete.pk}/profile/")
    for question in ("Remove this note?", "Remove the height of 2 March 2026?", "Remove the entry of 2 March 2026?"):
        assert question in text
    assert text.count('<dialog class="ask"') == 3


def test_a_placement_is_on_record_and_is_a_decision_of_the_head_coach(cast: Cast) -> None:
    drill = make_drill(cast.club, risk="contact", adult="contact")
    page(cast.head_coach, f"athletes/{cast.vaulter.pk}/place/", drill=drill.key, seen="walks it at two clubs")
    row = Decision.objects.get()
    assert (row.by, row.drill) == (cast.head_coach.person, drill)
    (decision,) = decisions_since(cast.club, cast.vaulter.pk, row.day)
    assert (decision.kind, decision.by_head_coach, decision.drill) == (DecisionKind.PLACE, True, drill.key)
    assert decision.place.uuid == row.pk and decision.day == row.day
    text = page(cast.head_coach, f"athletes/{cast.vaulter.pk}/profile/")
    assert "placed here by Marta" in text and "walks it at two clubs" in text
    assert "walks it" not in page(cast.assistant, f"athletes/{cast.vaulter.pk}/profile/")


def test_erasing_an_athlete_takes_all_of_it_away_and_keeps_nothing_they_wrote_on_others(
    cast: Cast, coach: Member, settings: pytest.FixtureRequest, tmp_path: object
) -> None:
    settings.ERASURE_LEDGER = f"{tmp_path}/ledger"  # type: ignore[attr-defined]
    body.measure(by=coach, athlete=cast.vaulter, kind="mass", value=Decimal(50), on=TODAY)
    body.keep_card(by=cast.parent, athlete=cast.vaulter, now=timezone.now(), allergies="wasp stings")
    body.look_at_card(by=coach, athlete=cast.vaulter, now=timezone.now())
    profile.add_note(by=coach, athlete=cast.vaulter, text="x", reader="head", now=timezone.now())
    poles.note_marks(by=coach, athlete=cast.vaulter, on=TODAY, grip_m=Decimal(3))
    BarredContact.objects.create(club=cast.club, child=cast.vaulter.person, name="Rex Crane")
    erase_person(by=cast.head_coach, person=cast.vaulter.person)
    for model in (Measurement, EmergencyCard, CardLook, AthleteNote, NotebookEntry, BarredContact):
        assert not model.objects.exists(), model


def test_a_report_of_a_knock_to_the_head_needs_no_other_tap_and_one_without_anything_is_asked_again(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.parent.person)
    address = f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/restriction/"
    assert client.post(address, {"days": "6"}).status_code == 422 and not Restriction.objects.exists()
    assert client.post(address, {"days": "", "head": "on"}).status_code == 302
    assert Restriction.objects.get().needs_clearance


def test_an_athlete_of_age_reports_their_own_and_a_younger_one_is_sent_to_a_parent(cast: Cast) -> None:
    path = f"children/{cast.vaulter.pk}/restriction/"
    assert "Under 18 a parent or guardian says it." in page(cast.athlete, path, much="contact", days="")
    assert not Restriction.objects.exists()
    Person.objects.filter(pk=cast.athlete.person.pk).update(birth_date=date(1990, 5, 1))
    assert "until a coach has spoken to you" in page(cast.athlete, path, much="contact", days="")
    assert Restriction.objects.get().reported_by == cast.athlete.person and Restriction.objects.get().unanswered


def test_the_week_tells_coaches_what_waits_for_an_answer(cast: Cast) -> None:
    page(cast.parent, f"children/{cast.vaulter.pk}/restriction/", much="contact", days="")
    assert "It was reported" in page(cast.head_coach, "week/")


def test_the_profile_asks_the_same_number_of_queries_however_much_there_is(
    cast: Cast, coach: Member, django_assert_num_queries: Callable
) -> None:
    client = Client()
    client.force_login(cast.head_coach.person)
    address = f"/c/{cast.club.slug}/athletes/{cast.vaulter.pk}/profile/"

    def more(n: int) -> None:
        poles.add_pole(by=coach, tag=f"T{n}", length_m=Decimal("3.7"), rating_kg=Decimal(60))
        profile.add_note(by=coach, athlete=cast.vaulter, text="x", reader="coaches", now=timezone.now())
        poles.note_marks(by=coach, athlete=cast.vaulter, on=TODAY - n * DAY, grip_m=Decimal(3))
        body.measure(by=coach, athlete=cast.vaulter, kind="height", value=Decimal("1.6"), on=TODAY - n * DAY)
        restrictions.report(by=cast.parent, athlete=cast.vaulter, what="no box", excludes=["contact"], starts_on=TODAY)

    more(0)
    client.get(address)
    with django_assert_num_queries(PROFILE_QUERIES):
        client.get(address)
    for n in range(1, 5):
        more(n)
    with django_assert_num_queries(PROFILE_QUERIES):
        client.get(address)


PROFILE_QUERIES = 18
