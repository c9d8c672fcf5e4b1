"""People by the head coach's pages: added, changed, tied, barred, consents, leaving, invited; and one's own account."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils import timezone

from athletes.models import Athlete
from club import queries
from club.actions import BarredFromChild, LastHeadCoach, add_guardian, set_roles
from club.members import Member, find_member
from club.models import AuditEntry, BarredContact, Club, Consent, Guardianship, Membership, Person, SignInLink, Venue
from club.roles import Permission
from tests.builders import Cast, make_member, make_person

TODAY = date(2026, 3, 2)
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def fresh_limits(db: None) -> None:
    cache.clear()


def browser(member: Member) -> Client:
    client = Client()
    client.force_login(member.person)
    return client


def post(member: Member, path: str, status: int = 302, **posted: object) -> str:
    answer = browser(member).post(f"/c/{member.club.slug}/{path}", posted)
    assert answer.status_code == status, answer.content.decode()[-2000:]
    return answer.content.decode()


def get(member: Member, path: str) -> str:
    answer = browser(member).get(f"/c/{member.club.slug}/{path}")
    assert answer.status_code == 200
    return answer.content.decode()


# --- persons and roles ---------------------------------------------------------------------------

NEW = {"given_name": "Pilar", "family_name": "Gorse", "language": "de", "birth_date": "2011-04-03"}


def test_a_person_is_added_with_roles_and_a_level_only_where_there_is_one(cast: Cast) -> None:
    post(cast.head_coach, "people/new/", **NEW, roles=["assistant", "guardian"], adult_level="floor")
    person = Person.objects.get(given_name="Pilar")
    held = {row.role: row.adult_level for row in Membership.objects.filter(person=person)}
    assert held == {"assistant": "floor", "guardian": ""}
    assert (person.birth_date, person.language) == (date(2011, 4, 3), "de")


@pytest.mark.parametrize(
    "wrong", [{"given_name": ""}, {"birth_date": "2999-01-01"}, {"email": "nobody"}, {"phone": "call"}, {"roles": []}]
)
def test_what_is_wrong_with_a_new_person_is_said_and_nothing_is_stored(cast: Cast, wrong: dict[str, object]) -> None:
    before = Person.objects.count()
    said = post(cast.head_coach, "people/new/", 422, **{**NEW, "roles": ["helper"], **wrong})
    assert "Nothing is saved yet" in said and Person.objects.count() == before


def test_an_athlete_who_is_added_has_a_sporting_profile(cast: Cast) -> None:
    client = browser(cast.head_coach)
    answer = client.post(f"/c/{cast.club.slug}/people/new/", {**NEW, "roles": ["athlete"]}, follow=True)
    athlete = Athlete.objects.get(person__given_name="Pilar")
    assert answer.redirect_chain[-1][0].endswith(f"/athletes/{athlete.pk}/profile/")
    assert "entered as right-handed" in answer.content.decode()
    post(cast.head_coach, f"people/{cast.parent.person.pk}/roles/", roles=["guardian", "athlete"])
    assert Athlete.objects.filter(person=cast.parent.person, left_on=None).exists()


def test_a_change_is_recorded_with_old_and_new(cast: Cast) -> None:
    person = cast.parent.person
    values = {"given_name": "Thandi", "family_name": "Kestrel", "language": "en", "phone": "07700 900101"}
    post(cast.head_coach, f"people/{person.pk}/edit/", **values)
    entry = AuditEntry.objects.get(kind="changed a person")
    assert entry.values == {"phone": {"old": "", "new": "07700 900101"}}
    post(cast.head_coach, f"people/{person.pk}/edit/", **values)
    assert AuditEntry.objects.filter(kind="changed a person").count() == 1


def test_somebody_who_is_in_another_club_too_is_changed_by_nobody_else(cast: Cast) -> None:
    person = cast.assistant.person
    Membership.objects.create(club=cast.other_club, person=person, role="head_coach", joined_on=TODAY)
    post(cast.head_coach, f"people/{person.pk}/edit/", given_name="Taken", language="en")
    person.refresh_from_db()
    assert person.given_name == "Aiko"


def test_a_club_keeps_a_head_coach(cast: Cast) -> None:
    boss = cast.head_coach.person
    assert "A club keeps a head coach" in post(cast.head_coach, f"people/{boss.pk}/roles/", 422, roles=["helper"])
    post(cast.head_coach, f"people/{boss.pk}/leave/")
    assert find_member(boss, cast.club.slug) is not None
    with pytest.raises(LastHeadCoach):
        by = cast.head_coach.acting(Permission.PEOPLE_EDIT)
        set_roles(by=by, person=boss, roles=["athlete"], adult_level="", today=TODAY)
    assert Membership.objects.filter(person=boss).count() == 1
    make_member(cast.club, "head_coach", given_name="Second")
    post(cast.head_coach, f"people/{boss.pk}/leave/")
    assert find_member(boss, cast.club.slug) is None


def test_whoever_leaves_sees_nothing_any_more_and_leaves_the_squads_pages(cast: Cast) -> None:
    post(cast.head_coach, f"people/{cast.athlete.person.pk}/leave/")
    assert browser(cast.athlete).get(f"/c/{cast.club.slug}/my/").status_code == 404
    assert Athlete.objects.get(pk=cast.vaulter.pk).left_on is not None
    assert Athlete.objects.get(pk=cast.team_mate.pk).left_on is None


def test_a_role_that_is_taken_up_again_is_the_same_row_and_the_profile_comes_back(cast: Cast) -> None:
    person, by = cast.athlete.person, cast.head_coach.acting(Permission.PEOPLE_EDIT)
    for roles in (["helper"], ["athlete", "helper"]):
        set_roles(by=by, person=person, roles=roles, adult_level="", today=TODAY)
    assert Membership.objects.filter(person=person, role="athlete", left_on=None).count() == 1
    assert Athlete.objects.get(pk=cast.vaulter.pk).left_on is None


# --- ties, barred, consents ----------------------------------------------------------------------


def test_a_guardian_is_tied_with_rights_and_becomes_a_guardian_here(cast: Cast) -> None:
    child, coach = cast.team_mate.person, cast.assistant.person
    post(cast.head_coach, f"people/{child.pk}/guardian/", guardian=str(coach.pk), rights=["may_collect"])
    tie = Guardianship.objects.get(child=child)
    assert (tie.may_collect, tie.sees_progress, tie.may_consent, tie.gets_mail) == (True, False, False, False)
    assert Membership.objects.filter(person=coach, role="guardian", club=cast.club).exists()


def test_barring_takes_every_right_away_at_once(cast: Cast) -> None:
    tie = Guardianship.objects.get(guardian=cast.parent.person)
    rights = ["sees_progress", "may_collect", "may_consent", "gets_mail"]
    post(cast.head_coach, f"people/ties/{tie.pk}/", rights=rights, barred="on")
    tie.refresh_from_db()
    assert tie.barred and not any(getattr(tie, right) for right in rights)
    assert browser(cast.parent).get(f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/").status_code == 404


def test_a_tie_ends_with_the_day_of_the_club(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    Club.objects.filter(pk=cast.club.pk).update(zone="America/Los_Angeles")
    Guardianship.objects.filter(guardian=cast.parent.person).update(until=date(2026, 3, 2))
    for hour, seen in ((7, True), (9, False)):  # midnight there is 8 o'clock UTC
        moment = datetime(2026, 3, 3, hour, 30, tzinfo=UTC)
        monkeypatch.setattr("django.utils.timezone.now", lambda moment=moment: moment)
        found = find_member(cast.parent.person, cast.club.slug)
        assert found and bool(found.children) is seen


def test_whoever_must_not_collect_a_child_is_not_made_its_guardian(cast: Cast) -> None:
    child, crane = cast.team_mate.person, make_person(cast.club, "guardian", given_name="Rex", family_name="Crane")
    BarredContact.objects.create(club=cast.club, child=child, name=" rex  CRANE")
    text = post(cast.head_coach, f"people/{child.pk}/guardian/", 422, guardian=str(crane.pk), rights=["may_collect"])
    assert "Rex Crane must not collect this child" in text and not Guardianship.objects.filter(child=child).exists()
    with pytest.raises(BarredFromChild):
        add_guardian(by=cast.head_coach, guardian=crane, child=child)
    post(cast.head_coach, f"people/{child.pk}/guardian/", guardian=str(crane.pk), barred="on")
    assert Guardianship.objects.get(child=child).barred
    with pytest.raises(BarredFromChild):
        add_guardian(by=cast.head_coach, guardian=crane, child=child)


@pytest.mark.parametrize("barred", ["Rex Crane", "crane rex", "Crane, Rex", " REX  Cráne. "])
def test_a_barred_name_is_recognised_in_any_order(cast: Cast, barred: str) -> None:
    child, crane = cast.team_mate.person, make_person(cast.club, "guardian", given_name="Rex", family_name="Crane")
    BarredContact.objects.create(club=cast.club, child=child, name=barred)
    post(cast.head_coach, f"people/{child.pk}/guardian/", 422, guardian=str(crane.pk), rights=["may_collect"])
    assert not Guardianship.objects.filter(child=child).exists()


def test_a_bar_on_a_tie_ends_only_on_purpose(cast: Cast) -> None:
    tie = Guardianship.objects.get(guardian=cast.parent.person)
    address = f"people/ties/{tie.pk}/"
    post(cast.head_coach, address, barred="on")
    said = post(cast.head_coach, address, 422, rights=["may_collect"])
    assert "is barred. Tick below that you lift the bar on purpose." in said
    tie.refresh_from_db()
    assert tie.barred and not tie.may_collect
    post(cast.head_coach, address, rights=["may_collect"], lift="on")
    tie.refresh_from_db()
    assert not tie.barred and tie.may_collect


def test_a_tie_gives_no_right_to_whom_the_list_of_barred_names_warns_of(cast: Cast) -> None:
    tie = Guardianship.objects.get(guardian=cast.parent.person)
    name = cast.parent.person
    BarredContact.objects.create(club=cast.club, child=tie.child, name=f"{name.family_name} {name.given_name}")
    for lift in ({}, {"lift": "on"}):
        said = post(cast.head_coach, f"people/ties/{tie.pk}/", 422, rights=["may_collect"], **lift)
        assert "stands among those who must not collect this child" in said
    post(cast.head_coach, f"people/ties/{tie.pk}/", barred="on")


def test_barring_a_name_that_a_guardian_has_asks_whether_they_are_meant(cast: Cast) -> None:
    child, parent = cast.athlete.person, cast.parent.person
    name = f"{parent.family_name}, {parent.given_name}"
    said = post(cast.head_coach, f"people/{child.pk}/bar/", 422, name=name)
    assert "is tied to this child as a guardian, and would keep every right" in said
    assert not BarredContact.objects.exists()
    post(cast.head_coach, f"people/{child.pk}/bar/", name=name, other="on")
    assert BarredContact.objects.get().name == name


def test_no_child_is_offered_as_a_guardian(cast: Cast) -> None:
    child, today = cast.athlete.person, timezone.now().date()
    young = make_person(cast.club, "helper", given_name="Young", birth_date=today.replace(year=today.year - 16, day=1))
    grown = make_person(cast.club, "athlete", given_name="Grown", birth_date=date(1990, 1, 1))
    text = get(cast.head_coach, f"people/{child.pk}/guardian/")
    offered = {
        str(one.pk) for one in (young, grown, cast.team_mate.person, cast.assistant.person) if str(one.pk) in text
    }
    assert offered == {str(grown.pk), str(cast.assistant.person.pk)}
    post(cast.head_coach, f"people/{child.pk}/guardian/", 422, guardian=str(young.pk), rights=["may_collect"])


def test_nobody_of_another_club_can_be_tied(cast: Cast) -> None:
    child = cast.team_mate.person
    outsider = str(cast.outsider.person.pk)
    post(cast.head_coach, f"people/{child.pk}/guardian/", 422, guardian=outsider, rights=["sees_progress"])
    assert not Guardianship.objects.filter(child=child).exists()


def test_somebody_outside_the_club_is_barred_by_name_and_only_head_coaches_read_it(cast: Cast) -> None:
    child = cast.athlete.person
    post(cast.head_coach, f"people/{child.pk}/bar/", name="Rex Crane", note="red van")
    row = BarredContact.objects.get()
    assert "Rex Crane" in get(cast.head_coach, f"people/{child.pk}/")
    assert not BarredContact.objects.for_member(cast.parent.acting(Permission.CHILD_READ)).exists()
    post(cast.head_coach, f"people/barred/{row.pk}/remove/")
    assert not BarredContact.objects.exists()


def test_a_consent_is_given_by_a_guardian_with_the_right_and_withdrawn_by_a_date(cast: Cast) -> None:
    child, today = cast.athlete.person, timezone.now().date()
    given = {"kind": "video", "given_on": str(today - timedelta(days=3))}
    stranger = str(cast.assistant.person.pk)
    post(cast.head_coach, f"people/{child.pk}/consent/", 422, given_by=stranger, **given)
    post(cast.head_coach, f"people/{child.pk}/consent/", given_by=str(cast.parent.person.pk), **given)
    row = Consent.objects.get()
    post(cast.head_coach, f"people/consents/{row.pk}/withdraw/")
    row.refresh_from_db()
    assert row.given_by == cast.parent.person and row.withdrawn_on is not None
    Guardianship.objects.update(may_consent=False)
    post(cast.head_coach, f"people/{child.pk}/consent/", 422, given_by=str(cast.parent.person.pk), **given)


# --- invitations ---------------------------------------------------------------------------------


def test_a_sheet_holds_one_working_link_a_person_made_at_that_moment(cast: Cast) -> None:
    people = [cast.athlete.person, cast.parent.person]
    assert "Nandi Kestrel" in get(cast.head_coach, "people/invitations/") and not SignInLink.objects.exists()
    sheet = post(cast.head_coach, "people/invitations/", 200, person=[str(one.pk) for one in people])
    assert SignInLink.objects.count() == 2 and sheet.count("<article") == 2
    tokens = [part.split("<")[0] for part in sheet.split("/sign-in/link/#")[1:]]
    assert len(set(tokens)) == 2
    client = Client()
    assert client.post("/sign-in/link/", {"token": tokens[0]}).status_code == 302
    assert client.session["_auth_user_id"] in {str(one.pk) for one in people}


def test_nobody_is_invited_who_signed_in_before_or_stands_beside_the_maker(cast: Cast) -> None:
    Person.objects.filter(pk=cast.athlete.person.pk).update(last_login=timezone.now())
    second = make_person(cast.club, "head_coach", given_name="Second")
    for person in (cast.athlete.person, second, cast.officer.person, cast.outsider.person):
        post(cast.head_coach, "people/invitations/", 422, person=[str(person.pk)])
    assert not SignInLink.objects.exists()


def test_a_child_under_13_is_invited_only_with_a_recorded_consent_to_an_account(cast: Cast) -> None:
    child, today = cast.athlete.person, timezone.now().date()
    Person.objects.filter(pk=child.pk).update(birth_date=today.replace(year=today.year - 12, day=1))
    post(cast.head_coach, "people/invitations/", 422, person=[str(child.pk)])
    parent = cast.parent.person
    Consent.objects.create(club=cast.club, person=child, kind="account", given_by=parent, given_on=today)
    post(cast.head_coach, "people/invitations/", 200, person=[str(child.pk)])
    assert SignInLink.objects.filter(person=child).count() == 1


def test_a_single_link_asks_for_that_consent_too(cast: Cast) -> None:
    child, today = cast.athlete.person, timezone.now().date()
    Person.objects.filter(pk=child.pk).update(birth_date=today.replace(year=today.year - 12, day=1))
    client = browser(cast.head_coach)
    answer = client.post(f"/c/{cast.club.slug}/people/{child.pk}/link/", follow=True)
    assert "Under 13: record a parent’s consent" in answer.content.decode() and not SignInLink.objects.exists()
    consent = {"person": child, "kind": "account", "given_by": cast.parent.person, "given_on": today}
    row = Consent.objects.create(club=cast.club, **consent)
    post(cast.head_coach, f"people/{child.pk}/link/", 200)
    Consent.objects.filter(pk=row.pk).update(withdrawn_on=today)
    client.post(f"/c/{cast.club.slug}/people/{child.pk}/link/")
    assert SignInLink.objects.count() == 1


@pytest.mark.parametrize(("born", "under"), [("2013-03-02", False), ("2013-03-03", True), (None, False)])
def test_somebody_is_13_on_their_birthday(born: str | None, under: bool) -> None:
    assert queries.is_under(13, date.fromisoformat(born) if born else None, TODAY) is under


# --- the club and its venues ---------------------------------------------------------------------


def test_settings_of_the_club_are_changed_and_a_made_up_zone_is_refused(cast: Cast) -> None:
    post(cast.head_coach, "club/edit/", name="Ternfield", zone="Europe/Nowhere", units="metric", status=422)
    post(cast.head_coach, "club/edit/", name="Ternfield VC", zone="America/Denver", units="imperial")
    club = Club.objects.get(pk=cast.club.pk)
    assert (club.name, club.zone, club.units) == ("Ternfield VC", "America/Denver", "imperial")
    assert AuditEntry.objects.filter(kind="changed the club's settings").count() == 1
    assert "changed the club" in get(cast.head_coach, "changes/")


def test_the_card_of_a_venue_is_kept_by_the_head_coach_and_read_by_coaches(cast: Cast) -> None:
    post(cast.head_coach, "venues/new/", name="Hall", address="Mill Lane 4, gate C", who_meets="whoever opened")
    venue = Venue.objects.get(name="Hall")
    post(cast.head_coach, f"venues/{venue.pk}/area/", name="Floor", kind="floor", surface="smooth-floor", places=6)
    text = get(cast.assistant, f"venues/{venue.pk}/")
    assert "gate C" in text and "whoever opened" in text and "Floor" in text and "edit/" not in text
    post(cast.head_coach, "venues/new/", 422, name="Hall")


# --- one's own account ---------------------------------------------------------------------------

STRONG = "heron quarry lantern nine"


def account(member: Member, client: Client | None = None, status: int = 302, **posted: str) -> str:
    answer = (client or browser(member)).post("/account/", {"language": "en", "sign_in_name": "", **posted})
    assert answer.status_code == status, answer.content.decode()[-2500:]
    return answer.content.decode()


def test_a_person_sets_a_sign_in_name_and_password_and_signs_in_with_them(cast: Cast) -> None:
    client = browser(cast.athlete)
    account(cast.athlete, client, sign_in_name="nandi.k", password=STRONG, again=STRONG, language="de")
    assert client.get("/account/").status_code == 200, "this device stays signed in"
    other = Client()
    assert other.post("/sign-in/", {"login": "nandi.k", "password": STRONG}).status_code == 302
    person = Person.objects.get(pk=cast.athlete.person.pk)
    assert (person.language, person.given_name) == ("de", "Nandi")


def test_who_has_a_password_says_it_before_another_takes_its_place(cast: Cast) -> None:
    person = cast.athlete.person
    person.sign_in_name = "nandi.k"
    person.set_password(STRONG)
    person.save()
    new = {"sign_in_name": "nandi.k", "password": "willow tern copper six", "again": "willow tern copper six"}
    assert "not the password you have now" in account(cast.athlete, status=422, now="wrong", **new)
    assert "not the password you have now" in account(cast.athlete, status=422, sign_in_name="other.name")
    account(cast.athlete, now=STRONG, **new)
    assert Person.objects.get(pk=person.pk).check_password("willow tern copper six")


@pytest.mark.parametrize(
    ("posted", "said"),
    [
        ({"sign_in_name": "nandi.k", "password": STRONG, "again": "else"}, "differ"),
        ({"sign_in_name": "nandi.k", "password": "12345", "again": "12345"}, "too short"),
        ({"password": STRONG, "again": STRONG}, "needs a sign-in name"),
        ({"sign_in_name": "n k"}, "Letters, digits"),
        ({"language": "xx"}, "valid choice"),
        ({"sign_in_name": "TAKEN.name"}, "Somebody else signs in"),
    ],
)
def test_what_is_wrong_with_an_account_is_said_and_nothing_changes(
    cast: Cast, posted: dict[str, str], said: str
) -> None:
    Person.objects.filter(pk=cast.parent.person.pk).update(sign_in_name="taken.name")
    assert said in account(cast.athlete, status=422, **posted)
    person = Person.objects.get(pk=cast.athlete.person.pk)
    assert (person.sign_in_name, person.password, person.language) == (None, "", "en")


def test_guessing_a_password_on_the_account_page_ends_after_ten_tries(cast: Cast) -> None:
    person = cast.athlete.person
    person.set_password(STRONG)
    person.save()
    client = browser(cast.athlete)
    for _ in range(10):
        account(cast.athlete, client, status=422, sign_in_name="n.kestrel", now="guess")
    assert "Too many tries" in account(cast.athlete, client, status=422, sign_in_name="n.kestrel", now=STRONG)


def test_people_are_found_by_words_of_their_names(cast: Cast) -> None:
    for wanted, found in (("nan kest", True), ("KESTREL", True), ("nan vinter", False), ("%", False)):
        assert ("Nandi Kestrel" in get(cast.head_coach, f"people/?q={wanted}")) is found


def test_a_persons_page_asks_a_fixed_number_of_queries(cast: Cast, django_assert_num_queries: Callable) -> None:
    client, child = browser(cast.head_coach), cast.athlete.person
    address = f"/c/{cast.club.slug}/people/{child.pk}/"
    client.get(address)
    with django_assert_num_queries(PERSON_QUERIES):
        client.get(address)
    for n in range(4):
        guardian = make_person(cast.club, "guardian", given_name=f"G{n}")
        Guardianship.objects.create(club=cast.club, guardian=guardian, child=child)
        Consent.objects.create(club=cast.club, person=child, kind="video", given_by=guardian, given_on=TODAY)
        BarredContact.objects.create(club=cast.club, child=child, name=f"N{n}")
    with django_assert_num_queries(PERSON_QUERIES):
        client.get(address)


PERSON_QUERIES = 11
