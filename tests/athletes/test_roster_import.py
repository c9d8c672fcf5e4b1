"""A roster into the club and out again: once, all or none, recognised the second time."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from athletes.actions.body import measure
from athletes.actions.roster import (
    Outcome,
    RosterStale,
    RosterUnanswered,
    import_roster,
    start_roster,
)
from athletes.models import Athlete, Measurement, RosterColumns, RosterDraft, Squad
from athletes.queries import roster as queries
from athletes.roster_files import read_file
from club import duties
from club.actions import leave
from club.members import Member
from club.models import AuditEntry, BarredContact, Duty, Guardianship, Membership, Person
from club.roles import Permission
from tests.athletes.rosters import (
    FIRST,
    HEADINGS,
    SECOND,
    SEMICOLONS,
    VALID,
    as_csv,
    inline_workbook,
    measured,
    merged_headings,
)
from tests.builders import Cast, make_person
from tests.club.asking import dump

TODAY = date(2026, 3, 2)
UNTOUCHED = {"club_auditentry", "athletes_rosterdraft", "club_duty", "club_heartbeat"}
pytestmark = pytest.mark.django_db
ROSTERS = {"semicolons": SEMICOLONS, "merged headings": merged_headings(), "inline strings": inline_workbook(VALID)}


def drafted(by: Member, data: bytes, measured_on: date = TODAY) -> RosterDraft:
    draft = start_roster(by=by, name="list", rows=read_file(data), now=timezone.now())
    return measured(draft, measured_on)


def imported(by: Member, data: bytes, take: set[int] | None = None, **answers: str) -> Outcome:
    draft = drafted(by, data)
    found = queries.entries(by, draft, TODAY, {})
    rows = {entry.row.number for entry in found} if take is None else take
    said = {name.replace("row", "").replace("_", "."): value for name, value in answers.items()}
    return import_roster(by=by, draft=draft, stamp=queries.stamp(found), take=rows, answers=said, today=TODAY)


def rows_of_people() -> dict[str, object]:
    """Everything but the record of changes, drafts, and the duty that throws them away."""
    return {name: rows for name, rows in dump().items() if name not in UNTOUCHED}


@pytest.fixture
def coach(cast: Cast) -> Member:
    """The head coach of a club in which nobody has a name that stands in a roster."""
    for letter, person in zip("abcdefgh", Person.objects.exclude(pk=cast.head_coach.person.pk), strict=False):
        Person.objects.filter(pk=person.pk).update(given_name="Zed", family_name=f"Zephyr{letter}")
    return cast.head_coach.acting(Permission.PEOPLE_EDIT)


@pytest.mark.parametrize("name", ROSTERS)
def test_a_roster_comes_in_and_the_second_time_changes_nothing(coach: Member, name: str) -> None:
    before = Athlete.objects.count()
    outcome = imported(coach, ROSTERS[name])
    assert outcome.athletes == Athlete.objects.count() - before > 1 and outcome.guardians >= 2
    after = rows_of_people()
    again = imported(coach, ROSTERS[name])
    assert again == Outcome(untouched=outcome.athletes)
    assert rows_of_people() == after
    assert RosterDraft.objects.count() == 0


def test_everything_that_a_row_says_is_there(coach: Member) -> None:
    imported(coach, as_csv(VALID))
    child = Person.objects.get(given_name="Nandi")
    athlete = Athlete.objects.get(person=child)
    assert (child.birth_date, child.email, child.phone) == (date(2011, 3, 25), "nandi@mail.example", "07700 900100")
    assert (athlete.hand, [squad.name for squad in athlete.squads.all()]) == ("right", ["Terns"])
    measured = {row.kind: str(row.value.normalize()) for row in Measurement.objects.filter(athlete=athlete)}
    assert measured == {"height": "1.62", "standing_reach": "2.05"}
    ties = Guardianship.objects.filter(child=child).order_by("guardian__given_name")
    assert [(tie.guardian.full_name, tie.guardian.phone) for tie in ties] == [
        ("Ben Kestrel", "07700 900109"),
        ("Thandi Kestrel", "07700 900101"),
    ]
    roles = Membership.objects.filter(person=child).values_list("role", flat=True)
    assert list(roles) == ["athlete"]


def test_a_weight_in_a_file_leaves_todays_weighing_as_it_is(coach: Member) -> None:
    imported(coach, as_csv(VALID))
    athlete = Athlete.objects.get(person__given_name="Nandi")
    measure(by=coach, athlete=athlete, kind="mass", value=Decimal(58), on=TODAY)
    RosterColumns.objects.create(
        club=coach.club,
        signature=queries.signature_of(HEADINGS),
        choices={"columns": ["given", "family", "born", *[""] * 6, "mass", *[""] * (len(HEADINGS) - 10)]},
    )
    assert HEADINGS[9] == "Weight" and drafted(coach, as_csv(VALID)).choices["columns"][9] == ""
    assert imported(coach, as_csv(VALID)) == Outcome(untouched=2)
    masses = Measurement.objects.filter(kind="mass", athlete=athlete).values_list("value", flat=True)
    assert list(masses) == [58]


def test_a_second_import_changes_only_what_the_file_says_anew(coach: Member) -> None:
    imported(coach, as_csv(VALID))
    changed = (*FIRST[:3], "left", "Swifts", FIRST[5], "07700 900199", "1.64 m", *FIRST[8:])
    assert imported(coach, as_csv([HEADINGS, changed, SECOND])) == Outcome(changed=1, untouched=1)
    athlete = Athlete.objects.get(person__given_name="Nandi")
    assert athlete.hand == "left" and athlete.person.phone == "07700 900199"
    assert {squad.name for squad in athlete.squads.all()} == {"Terns", "Swifts"}
    assert str(Measurement.objects.get(athlete=athlete, kind="height").value.normalize()) == "1.64"


def test_only_the_rows_that_were_accepted_come_in(coach: Member) -> None:
    assert imported(coach, as_csv(VALID), take={3}).athletes == 1
    assert not Person.objects.filter(given_name="Nandi").exists()


def test_siblings_share_one_new_guardian(coach: Member) -> None:
    sister = ("Amara", FIRST[1], "2013-02-01", *FIRST[3:])
    outcome = imported(coach, as_csv([HEADINGS, FIRST, sister]))
    assert (outcome.athletes, outcome.guardians) == (2, 2)
    assert Guardianship.objects.filter(guardian__given_name="Thandi", child__in=Person.objects.filter(
        given_name__in=["Nandi", "Amara"])).count() == 2  # fmt: skip


def test_a_guardian_of_a_barred_name_is_not_tied_and_the_preview_says_so(coach: Member) -> None:
    imported(coach, as_csv([HEADINGS, (*FIRST[:9], *[""] * (len(FIRST) - 9))]))
    child = Person.objects.get(given_name="Nandi")
    Guardianship.objects.filter(child=child).delete()
    BarredContact.objects.create(club=coach.club, child=child, name="thandi  KESTREL")
    client, slug = signed_in(coach), coach.club.slug
    draft = upload(client, slug, as_csv(VALID))
    text = client.get(f"/c/{slug}/people/roster/{draft.pk}/").content.decode()
    assert "Thandi Kestrel must not collect this child" in text and "new guardian with every right: Thandi" not in text
    outcome = imported(coach, as_csv(VALID))
    assert (outcome.athletes, outcome.barred) == (1, 1)
    assert [tie.guardian.given_name for tie in Guardianship.objects.filter(child=child)] == ["Ben"]
    assert not Person.objects.filter(given_name="Thandi").exists()


def test_a_guardian_whose_tie_is_barred_stays_barred_whatever_the_file_says(coach: Member) -> None:
    imported(coach, as_csv(VALID))
    rights = dict.fromkeys(("sees_progress", "may_collect", "may_consent", "gets_mail"), False)
    tie = Guardianship.objects.get(guardian__given_name="Thandi")
    Guardianship.objects.filter(pk=tie.pk).update(barred=True, until=TODAY - timedelta(days=9), **rights)
    before = rows_of_people()
    assert imported(coach, as_csv(VALID)) == Outcome(untouched=2, barred=1)
    assert rows_of_people() == before


def test_a_name_that_could_be_somebody_is_asked_about_before_anything_is_written(coach: Member) -> None:
    known = make_person(coach.club, "athlete", given_name="Nandi", family_name="Kestrel")
    before = rows_of_people()
    with pytest.raises(RosterUnanswered):
        imported(coach, as_csv(VALID))
    assert rows_of_people() == before
    RosterDraft.objects.all().delete()
    assert imported(coach, as_csv(VALID), row2=str(known.pk)).athletes == 1
    known.refresh_from_db()
    assert known.birth_date == date(2011, 3, 25) and Athlete.objects.filter(person=known).exists()


def test_the_answer_that_it_is_somebody_else_makes_a_new_person(coach: Member) -> None:
    make_person(coach.club, "athlete", given_name="Nandi", family_name="Kestrel")
    assert imported(coach, as_csv(VALID), row2="new").athletes == 2
    assert Person.objects.filter(given_name="Nandi").count() == 2


def test_a_person_of_another_club_is_no_answer_and_is_not_recognised(coach: Member, cast: Cast) -> None:
    stranger = make_person(
        cast.other_club, "athlete", given_name="Nandi", family_name="Kestrel", birth_date=date(2011, 3, 25)
    )
    assert imported(coach, as_csv(VALID), row2=str(stranger.pk)).athletes == 2
    assert not Membership.objects.filter(person=stranger, club=coach.club).exists()


def test_whoever_left_comes_back_as_the_same_person(coach: Member) -> None:
    imported(coach, as_csv(VALID))
    child = Person.objects.get(given_name="Nandi")
    leave(by=coach, person=child, today=TODAY)
    assert Athlete.objects.get(person=child).left_on == TODAY
    assert imported(coach, as_csv(VALID)) == Outcome(changed=1, untouched=1)
    assert Athlete.objects.get(person=child).left_on is None
    assert Person.objects.filter(given_name="Nandi").count() == 1


def test_contacts_of_somebody_who_is_in_another_club_too_are_left_alone(coach: Member, cast: Cast) -> None:
    imported(coach, as_csv(VALID))
    child = Person.objects.get(given_name="Nandi")
    Membership.objects.create(club=cast.other_club, person=child, role="athlete", joined_on=TODAY)
    imported(coach, as_csv([HEADINGS, (*FIRST[:6], "07700 900199", *FIRST[7:]), SECOND]))
    child.refresh_from_db()
    assert child.phone == "07700 900100"


def test_a_club_that_changed_after_the_preview_is_looked_at_again(coach: Member) -> None:
    draft = drafted(coach, as_csv(VALID))
    stamp = queries.stamp(queries.entries(coach, draft, TODAY, {}))
    imported(coach, as_csv(VALID))
    before = rows_of_people()
    with pytest.raises(RosterStale):
        import_roster(by=coach, draft=draft, stamp=stamp, take={2, 3}, answers={}, today=TODAY)
    assert rows_of_people() == before and RosterDraft.objects.filter(pk=draft.pk).exists()


def test_a_draft_is_imported_once(coach: Member) -> None:
    draft = drafted(coach, as_csv(VALID))
    stamp = queries.stamp(queries.entries(coach, draft, TODAY, {}))
    import_roster(by=coach, draft=draft, stamp=stamp, take={2, 3}, answers={}, today=TODAY)
    with pytest.raises(RosterStale):
        import_roster(by=coach, draft=draft, stamp=stamp, take={2}, answers={}, today=TODAY)


def test_a_failure_halfway_leaves_nothing_behind(coach: Member, monkeypatch: pytest.MonkeyPatch) -> None:
    from athletes.actions import roster as actions

    draft = drafted(coach, as_csv(VALID))
    stamp = queries.stamp(queries.entries(coach, draft, TODAY, {}))
    before = dump()

    def fails(**_: object) -> None:
        raise RuntimeError

    monkeypatch.setattr(actions, "add_guardian", fails)
    with pytest.raises(RuntimeError):
        import_roster(by=coach, draft=draft, stamp=stamp, take={2, 3}, answers={}, today=TODAY)
    assert dump() == before


def test_a_draft_is_thrown_away_after_a_day_without_anybody_asking(coach: Member) -> None:
    draft = drafted(coach, as_csv(VALID))
    duty = Duty.objects.get(kind="old_roster")
    assert duty.due_at - draft.made_at == timedelta(days=1)
    duties.drain(duties.LONG)
    assert RosterDraft.objects.exists()
    Duty.objects.update(due_at=timezone.now())
    duties.drain(duties.LONG)
    assert not RosterDraft.objects.exists()


# --- by the pages --------------------------------------------------------------------------------


def signed_in(member: Member) -> Client:
    client = Client()
    client.force_login(member.person)
    return client


def upload(client: Client, slug: str, data: bytes) -> RosterDraft:
    answer = client.post(f"/c/{slug}/people/roster/", {"file": SimpleUploadedFile("list.csv", data)})
    assert answer.status_code == 302, answer.content.decode()
    return measured(RosterDraft.objects.latest("made_at"))


def test_columns_are_mapped_once_and_remembered_by_the_club(coach: Member) -> None:
    client, slug = signed_in(coach), coach.club.slug
    data = as_csv([("Kid", "X1", "X2"), ("Nandi Kestrel", "2011-03-25", "07700 900101")])
    draft = upload(client, slug, data)
    assert draft.choices["columns"] == ["", "", ""]
    posted = {
        "header": 0,
        "family_first": "no",
        "imperial": "no",
        "column0": "name",
        "column1": "born",
        "column2": "phone",
    }
    answer = client.post(f"/c/{slug}/people/roster/{draft.pk}/columns/", posted)
    assert (answer.status_code, RosterColumns.objects.count()) == (302, 1)
    assert upload(client, slug, data).choices["columns"] == ["name", "born", "phone"]


def test_two_columns_cannot_mean_the_same_and_a_name_is_needed(coach: Member) -> None:
    client, slug = signed_in(coach), coach.club.slug
    draft = upload(client, slug, as_csv([("A", "B"), ("Nandi", "Kestrel")]))
    for columns in ({"column0": "name", "column1": "name"}, {"column0": "phone", "column1": "email"}):
        posted = {"header": 0, "family_first": "no", "imperial": "no", **columns}
        assert client.post(f"/c/{slug}/people/roster/{draft.pk}/columns/", posted).status_code == 422


def test_export_then_import_is_the_identity_and_holds_no_mass(coach: Member) -> None:
    client, slug = signed_in(coach), coach.club.slug
    imported(coach, as_csv(VALID))
    imported(coach, merged_headings())
    nandi = Athlete.objects.get(person__given_name="Nandi")
    measure(by=coach, athlete=nandi, kind="mass", value=Decimal("51.5"), on=TODAY)
    Squad.objects.filter(name="Terns").update(name="=Terns")
    Person.objects.filter(given_name="Nandi").update(phone="+44 7700 900100")
    answer = client.post(f"/c/{slug}/people/roster/export/")
    text = answer.content.decode()
    assert "'=Terns" in text and "'+44 7700 900100" in text and "51.5" not in text and "mass" not in text
    assert AuditEntry.objects.filter(kind="exported the roster").count() == 1
    before = rows_of_people()
    draft = upload(client, slug, answer.content)
    found = queries.entries(coach, draft, TODAY, {})
    assert queries.reading(draft, TODAY).problems == ()
    assert len(found) == Athlete.objects.filter(club=coach.club, left_on=None).count() >= 5
    born = [entry for entry in found if entry.row.born]
    assert len(born) == 5 and all(entry.settled for entry in born)
    imported(coach, answer.content, take={entry.row.number for entry in born})
    assert rows_of_people() == before


def test_the_export_leaves_out_guardians_who_are_barred_and_ties_that_have_ended(coach: Member) -> None:
    imported(coach, as_csv(VALID))
    ties = Guardianship.objects.filter(child__given_name="Nandi")
    rights = dict.fromkeys(("sees_progress", "may_collect", "may_consent", "gets_mail"), False)
    ties.filter(guardian__given_name="Thandi").update(barred=True, **rights)
    ties.filter(guardian__given_name="Ben").update(until=TODAY)
    last_day, after = (str(queries.export_lines(coach, TODAY + timedelta(days=n))) for n in (0, 1))
    assert "Thandi" not in last_day and "Ben" in last_day and "Aino" in last_day
    assert "Thandi" not in after and "Ben" not in after and "Aino" in after


def test_the_preview_says_what_would_change_and_takes_what_is_ticked(coach: Member) -> None:
    client, slug = signed_in(coach), coach.club.slug
    make_person(coach.club, "athlete", given_name="Eero", family_name="Vinter")
    draft = upload(client, slug, as_csv(VALID))
    address = f"/c/{slug}/people/roster/{draft.pk}/"
    page = client.get(address)
    text = page.content.decode()
    assert "Who is Eero Vinter?" in text and "new guardian with every right: Thandi Kestrel, " in text
    posted = {"stamp": page.context["stamp"], "take": ["2", "3"]}
    refused = client.post(address, posted)
    assert refused.status_code == 422 and "Nothing was imported" in refused.content.decode()
    assert client.post(address, {**posted, "answer-3": "new"}).status_code == 302
    assert Person.objects.filter(given_name__in=["Nandi", "Eero"], birth_date__isnull=False).count() == 2


def previewed(coach: Member, data: bytes) -> str:
    client, slug = signed_in(coach), coach.club.slug
    draft = upload(client, slug, data)
    return unescape(client.get(f"/c/{slug}/people/roster/{draft.pk}/").content.decode())


def test_the_preview_of_a_new_row_shows_all_that_would_be_stored(coach: Member) -> None:
    Squad.objects.create(club=coach.club, name="Swifts")
    text = previewed(coach, as_csv(VALID))
    for said in (
        "25 March 2011",
        "hand: right-handed",
        "squads: Terns (a new squad)",
        "squads: Swifts<",
        "e-mail: nandi@mail.example",
        "phone: 07700 900100",
        "height: 1.62 m on 2 March 2026",
        "standing reach: 2.05 m on 2 March 2026",
        "new guardian with every right: Thandi Kestrel, e-mail: thandi@mail.example, phone: 07700 900101",
        "A new squad comes with it: Terns.",
        "Nothing is written before you import.",
    ):
        assert said in text, said


def test_a_guardians_phone_is_shown_old_and_new(coach: Member) -> None:
    imported(coach, as_csv(VALID))
    text = previewed(coach, as_csv([HEADINGS, (*FIRST[:13], "07700 900188", *FIRST[14:])]))
    assert "guardian Thandi Kestrel: phone: 07700 900188 instead of 07700 900101" in text


def test_a_file_of_which_all_is_there_says_so(coach: Member) -> None:
    imported(coach, as_csv(VALID))
    text = previewed(coach, as_csv(VALID))
    assert "All 2 rows that can be read are in the club already: importing them changes nothing." in text
    assert "Nothing is written before" not in text and "checked" not in text


def test_an_import_with_nothing_ticked_is_said_and_keeps_the_file(coach: Member) -> None:
    client, slug = signed_in(coach), coach.club.slug
    draft = upload(client, slug, as_csv(VALID))
    address = f"/c/{slug}/people/roster/{draft.pk}/"
    before, stamp = rows_of_people(), client.get(address).context["stamp"]
    for take in ([], ["99"]):
        answer = client.post(address, {"stamp": stamp, "take": take})
        assert answer.status_code == 422 and "No row was ticked" in answer.content.decode()
    assert rows_of_people() == before and RosterDraft.objects.filter(pk=draft.pk).exists()


def test_heights_are_stored_under_the_day_that_was_asked_for(coach: Member) -> None:
    client, slug = signed_in(coach), coach.club.slug
    draft = upload(client, slug, as_csv(VALID))
    RosterDraft.objects.update(choices={**draft.choices, "measured_on": None})
    columns = f"/c/{slug}/people/roster/{draft.pk}/columns/"
    assert client.get(f"/c/{slug}/people/roster/{draft.pk}/")["Location"] == columns
    posted = {"header": 0, "family_first": "no", "imperial": "no"}
    posted |= {f"column{n}": key for n, key in enumerate(draft.choices["columns"])}
    for day in ("", "2999-01-01"):
        assert client.post(columns, {**posted, "measured_on": day}).status_code == 422
    assert client.post(columns, {**posted, "measured_on": "2025-09-01"}).status_code == 302
    draft.refresh_from_db()
    found = queries.entries(coach, draft, TODAY, {})
    import_roster(by=coach, draft=draft, stamp=queries.stamp(found), take={2, 3}, answers={}, today=TODAY)
    assert set(Measurement.objects.values_list("on", flat=True)) == {date(2025, 9, 1)}


def test_an_older_file_adds_to_what_was_measured_since_and_again_changes_nothing(coach: Member) -> None:
    imported(coach, as_csv(VALID))
    old = as_csv([HEADINGS, (*FIRST[:7], "1.58 m", *FIRST[8:])])
    for outcome in (Outcome(changed=1), Outcome(untouched=1)):
        draft = drafted(coach, old, date(2025, 9, 1))
        found = queries.entries(coach, draft, TODAY, {})
        stamp = queries.stamp(found)
        assert import_roster(by=coach, draft=draft, stamp=stamp, take={2}, answers={}, today=TODAY) == outcome
    heights = Measurement.objects.filter(kind="height", athlete__person__given_name="Nandi").order_by("on")
    assert [(str(row.on), str(row.value.normalize())) for row in heights] == [
        ("2025-09-01", "1.58"),
        ("2026-03-02", "1.62"),
    ]


def test_the_preview_asks_the_same_number_of_queries_for_two_rows_and_for_two_hundred(
    coach: Member, django_assert_num_queries: Callable
) -> None:
    client, slug = signed_in(coach), coach.club.slug
    imported(coach, as_csv(VALID))
    many = [
        ("Kid" + "abcdefghij"[n % 10] + "klmnopqrst"[n // 10 % 10] + "uv"[n // 100], *SECOND[1:]) for n in range(200)
    ]
    for rows in (VALID, (HEADINGS, *many)):
        draft = upload(client, slug, as_csv(rows))
        with django_assert_num_queries(PREVIEW_QUERIES):
            assert client.get(f"/c/{slug}/people/roster/{draft.pk}/").status_code == 200


PREVIEW_QUERIES = 13
