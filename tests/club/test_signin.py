"""Sign-in links: once, for a while, downward only, by POST, and never in a log."""

import logging
import re
from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.conf import settings
from django.core.cache import cache
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from club import signin
from club.members import Member, find_member
from club.models import AuditEntry, Membership, Person, SignInLink
from club.roles import Role
from tests.builders import Cast, make_club, make_member, make_person
from tests.club.racing import race

LINK = "/sign-in/link/"
MAY_BE_LINKED = ["assistant", "helper", "athlete", "guardian"]
NEVER_LINKED = ["head_coach", "safeguarding_officer"]


@pytest.fixture(autouse=True)
def fresh_limits(db: None) -> Iterator[None]:
    cache.clear()
    yield
    cache.clear()


def redeem_by_post(token: str, client: Client | None = None):
    return (client or Client()).post(LINK, {"token": token})


def signed_in_as(client: Client) -> str | None:
    return client.session.get("_auth_user_id")


# --- once, for a while, revocable ----------------------------------------------------------------


def test_a_link_signs_its_person_in_once(cast: Cast) -> None:
    new = signin.make_link(by=cast.head_coach, person=cast.assistant.person)
    first, second = Client(), Client()
    answer = redeem_by_post(new.token, first)
    assert (answer.status_code, answer["Location"]) == (302, "/")
    assert signed_in_as(first) == str(cast.assistant.person.pk)
    assert redeem_by_post(new.token, second).status_code == 400
    assert signed_in_as(second) is None


def test_a_link_works_until_it_expires_and_not_after(cast: Cast) -> None:
    hours = timedelta(hours=settings.SIGN_IN_LINK_HOURS)
    for age, works in ((hours - timedelta(minutes=1), True), (hours + timedelta(seconds=1), False)):
        new = signin.make_link(by=cast.head_coach, person=cast.assistant.person)
        assert new.link.expires_at - new.link.made_at == hours
        SignInLink.objects.filter(pk=new.link.pk).update(expires_at=timezone.now() + hours - age)
        assert (signin.redeem(new.token) is not None) is works


def test_a_revoked_link_is_worthless_and_the_revoking_is_recorded(cast: Cast) -> None:
    new = signin.make_link(by=cast.head_coach, person=cast.assistant.person)
    signin.revoke(by=cast.head_coach, link=new.link)
    assert signin.redeem(new.token) is None
    assert AuditEntry.objects.filter(club=cast.club, kind="revoked a sign-in link").count() == 1


def test_a_person_set_inactive_cannot_use_a_link(cast: Cast) -> None:
    new = signin.make_link(by=cast.head_coach, person=cast.assistant.person)
    Person.objects.filter(pk=cast.assistant.person.pk).update(is_active=False)
    assert signin.redeem(new.token) is None


@pytest.mark.parametrize("token", ["", " ", "x", "0" * 43, "\x00", "é" * 500])
def test_a_made_up_token_signs_nobody_in(cast: Cast, token: str) -> None:
    client = Client()
    assert redeem_by_post(token, client).status_code == 400
    assert signed_in_as(client) is None


# --- hashed, by POST, never logged ---------------------------------------------------------------


def test_only_a_hash_of_256_random_bits_is_stored(cast: Cast) -> None:
    tokens = {signin.make_link(by=cast.head_coach, person=cast.assistant.person).token for _ in range(50)}
    assert len(tokens) == 50 and all(re.fullmatch(r"[\w-]{43}", token) for token in tokens)
    kept = {str(value) for row in SignInLink.objects.values_list() for value in row}
    kept |= {str(entry.values) for entry in AuditEntry.objects.all()}
    assert not any(token in text for token in tokens for text in kept)


def test_the_token_stands_in_the_fragment_and_a_get_redeems_nothing(cast: Cast) -> None:
    new = signin.make_link(by=cast.head_coach, person=cast.assistant.person)
    assert new.url("https://vault.example/") == f"https://vault.example{LINK}#{new.token}"
    for query in ("", f"?token={new.token}"):
        client = Client()
        assert client.get(LINK + query).status_code == 200
        assert signed_in_as(client) is None
    assert SignInLink.objects.get(pk=new.link.pk).used_at is None


def test_redeeming_needs_the_form_s_own_token_against_forgery(cast: Cast) -> None:
    new = signin.make_link(by=cast.head_coach, person=cast.assistant.person)
    assert redeem_by_post(new.token, Client(enforce_csrf_checks=True)).status_code == 403
    assert SignInLink.objects.get(pk=new.link.pk).used_at is None


def test_the_token_is_in_no_log_and_no_answer_but_the_one_that_hands_it_out(
    cast: Cast, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    coach = Client()
    coach.force_login(cast.head_coach.person)
    handed = coach.post(reverse("make_sign_in_link", args=[cast.club.slug, cast.assistant.person.pk]))
    token = re.search(r"#([\w-]{43})", handed.content.decode()).group(1)  # type: ignore[union-attr]
    assert "no-store" in handed["Cache-Control"]
    client = Client()
    answers = [redeem_by_post(token, client), client.get("/"), redeem_by_post(token), coach.get("/", follow=True)]
    for answer in answers:
        assert token not in answer.content.decode() + str(answer.headers)
    assert token not in str(dict(client.session.items()))
    assert caplog.records and token not in caplog.text
    assert not any(token in str(record.args) for record in caplog.records)


# --- the session ---------------------------------------------------------------------------------


def test_redeeming_changes_the_session_key_and_keeps_nothing_of_the_old_session(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.outsider.person)
    session = client.session
    session["planted"] = "by somebody else"
    session.save()
    planted = session.session_key
    new = signin.make_link(by=cast.head_coach, person=cast.assistant.person)
    redeem_by_post(new.token, client)
    assert client.session.session_key != planted and "planted" not in client.session
    assert not client.session.exists(planted)
    assert signed_in_as(client) == str(cast.assistant.person.pk)


def test_signing_out_ends_the_session_on_the_server(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.assistant.person)
    key = client.session.session_key
    assert client.get(reverse("account_logout")).status_code == 200, "a GET only asks"
    assert client.session.exists(key)
    client.post(reverse("account_logout"))
    assert not client.session.exists(key)


# --- downward only -------------------------------------------------------------------------------


@pytest.mark.parametrize("maker", list(Role))
@pytest.mark.parametrize("holder", list(Role))
def test_only_a_head_coach_makes_links_and_only_downward(db: None, maker: str, holder: str) -> None:
    club = make_club()
    by, person = make_member(club, maker), make_person(club, holder)
    if maker == "head_coach" and holder in MAY_BE_LINKED:
        assert signin.make_link(by=by, person=person).link.club == club
    else:
        with pytest.raises(signin.LinkRefused):
            signin.make_link(by=by, person=person)
        assert not SignInLink.objects.exists()


@pytest.mark.parametrize("above", NEVER_LINKED)
def test_a_person_who_also_holds_a_role_above_gets_no_link(cast: Cast, above: str) -> None:
    both = make_person(cast.club, "athlete", above)
    with pytest.raises(signin.LinkRefused):
        signin.make_link(by=cast.head_coach, person=both)


@pytest.mark.parametrize("role", list(Role))
def test_a_link_would_open_the_other_club_too_so_its_head_coach_must_be_the_maker(cast: Cast, role: str) -> None:
    person = make_person(cast.club, "guardian")
    Membership.objects.create(club=cast.other_club, person=person, role=role, joined_on="2026-01-01")
    with pytest.raises(signin.LinkRefused):
        signin.make_link(by=cast.head_coach, person=person)


def test_a_head_coach_of_both_clubs_makes_a_link_for_a_member_of_both(cast: Cast) -> None:
    for person, role in ((cast.head_coach.person, "head_coach"), (cast.parent.person, "guardian")):
        Membership.objects.create(club=cast.other_club, person=person, role=role, joined_on="2026-01-01")
    assert signin.make_link(by=cast.head_coach, person=cast.parent.person)


@pytest.mark.parametrize("what", ["the holder rises", "the holder joins another club", "the maker falls"])
def test_a_link_is_worthless_once_its_maker_could_no_longer_make_it(cast: Cast, what: str) -> None:
    new = signin.make_link(by=cast.head_coach, person=cast.assistant.person)
    if what == "the maker falls":
        Membership.objects.filter(person=cast.head_coach.person).update(left_on="2026-01-01")
    else:
        club = cast.club if what == "the holder rises" else cast.other_club
        Membership.objects.create(
            club=club, person=cast.assistant.person, role="head_coach", joined_on="2026-01-01", adult_level="contact"
        )
    assert signin.redeem(new.token) is None


def test_the_page_says_who_gets_a_link_and_refuses_the_others(cast: Cast) -> None:
    coach = Client()
    coach.force_login(cast.head_coach.person)
    everybody = coach.get(reverse("people", args=[cast.club.slug])).content.decode()
    assert "/link/" not in everybody and "never signed in" in everybody
    for person, linked in (
        (cast.assistant.person, True),
        (cast.officer.person, False),
        (cast.head_coach.person, False),
    ):
        address = reverse("make_sign_in_link", args=[cast.club.slug, person.pk])
        text = coach.get(reverse("person", args=[cast.club.slug, person.pk])).content.decode()
        assert (address in text) is linked
        before = SignInLink.objects.count()
        answer = coach.post(address)
        assert answer.status_code == (200 if linked else 302)
        assert SignInLink.objects.count() - before == int(linked)


def test_a_head_coach_cannot_take_back_a_link_from_the_command_line_for_another(cast: Cast) -> None:
    new = signin.new_link(club=cast.club, person=make_person(cast.club, "head_coach"))
    coach = Client()
    coach.force_login(cast.head_coach.person)
    answer = coach.post(reverse("revoke_sign_in_link", args=[cast.club.slug, new.link.pk]))
    assert answer.status_code == 302
    assert signin.redeem(new.token) is not None


def test_the_command_line_makes_a_head_coach_s_link(cast: Cast, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("signin_link", club=cast.club.slug, base_url="https://vault.example")
    out, err = capsys.readouterr()
    token = out.strip().removeprefix(f"https://vault.example{LINK}#")
    assert token not in err and "Marta Oakes" in err
    assert signin.redeem(token) == cast.head_coach.person


def test_the_command_line_makes_nothing_unless_one_person_fits(cast: Cast) -> None:
    make_person(cast.club, "head_coach")
    for options in ({"club": cast.club.slug}, {"club": cast.club.slug, "person": "Nobody"}, {}):
        with pytest.raises(CommandError):
            call_command("signin_link", **options)
    assert not SignInLink.objects.exists()


# --- no open door --------------------------------------------------------------------------------

SIGN_UP = ["accounts/signup/", "accounts/login/", "signup/", "sign-up/", "register/", "accounts/password/reset/",
           "accounts/password/set/", "accounts/social/signup/", "sign-in/signup/", "admin/"]  # fmt: skip


@pytest.mark.parametrize("path", SIGN_UP)
def test_there_is_no_open_sign_up(db: None, path: str) -> None:
    people = Person.objects.count()
    body = {"username": "new", "sign_in_name": "new", "password1": "a long one 123", "password2": "a long one 123"}
    assert Client().post(f"/{path}", body).status_code == 404
    assert Client().get(f"/{path}").status_code == 404
    assert Person.objects.count() == people


def test_no_address_is_called_sign_up_and_the_account_adapter_is_shut(db: None, rf) -> None:
    for name in ("account_signup", "account_reset_password", "account_set_password", "socialaccount_signup"):
        with pytest.raises(NoReverseMatch):
            reverse(name)
    assert signin.ClosedAccountAdapter().is_open_for_signup(rf.get("/")) is False


def test_a_password_signs_in_only_whoever_has_one(cast: Cast) -> None:
    person = cast.assistant.person
    for name, password in (("", ""), ("aiko", ""), ("aiko", "wrong")):
        Client().post("/sign-in/", {"login": name, "password": password})
    Person.objects.filter(pk=person.pk).update(sign_in_name="aiko")
    client = Client()
    assert client.post("/sign-in/", {"login": "aiko", "password": ""}).status_code == 200
    assert signed_in_as(client) is None
    person.sign_in_name = "aiko"
    person.set_password("four words and a run")
    person.save()
    client.post("/sign-in/", {"login": "aiko", "password": "four words and a run"})
    assert signed_in_as(client) == str(person.pk)


def test_sign_in_sends_nobody_to_another_host(cast: Cast) -> None:
    person = cast.assistant.person
    person.sign_in_name = "aiko"
    person.set_password("four words and a run")
    person.save()
    for wanted in ("https://evil.example/", "//evil.example", "javascript:alert(1)"):
        answer = Client().post("/sign-in/", {"login": "aiko", "password": "four words and a run", "next": wanted})
        assert (answer.status_code, answer["Location"]) == (302, "/")


# --- two at once ---------------------------------------------------------------------------------


@pytest.mark.django_db(transaction=True)
def test_of_two_browsers_redeeming_at_once_one_gets_in() -> None:
    club = make_club()
    coach, person = make_member(club, "head_coach"), make_person(club, "assistant")
    for _ in range(5):
        token = signin.make_link(by=coach, person=person).token
        codes = race(4, lambda token=token: redeem_by_post(token).status_code)
        assert sorted(codes) == [302, 400, 400, 400]


def test_a_session_from_before_leaving_the_club_opens_nothing_there(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.assistant.person)
    assert client.get(reverse("api_schema", args=[cast.club.slug])).status_code == 200
    Membership.objects.filter(person=cast.assistant.person).update(left_on="2026-01-01")
    assert client.get(reverse("api_schema", args=[cast.club.slug])).status_code == 404
    assert isinstance(cast.assistant, Member) and find_member(cast.assistant.person, cast.club.slug) is None
