"""Incidents: opened by a tap or by hand, only added to, read by few; a blow to the head rests the athlete."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from athletes.models import Restriction
from club.clock import club_today
from club.members import Member
from sessions.practices.models import AdultPresence, Incident, IncidentEntry, Practice
from sessions.reps.actions import take_events
from tests.builders import Cast, make_member, make_practice, make_squad

pytestmark = pytest.mark.django_db
SignIn = Callable[[Member], Client]
SAID = {
    "when": "17:40", "place": "pit", "happened": "She landed on the edge.", "done": "Cooled it.", "told": "",
    "witness": "Eero saw it", "private": "Shoved by a boy",
}  # fmt: skip


@pytest.fixture
def practice(cast: Cast) -> Practice:
    squad = make_squad(cast.club, cast.vaulter, cast.team_mate)
    return make_practice(cast.club, day=club_today(cast.club), squads=[squad], published_at=timezone.now())


@pytest.fixture
def as_member(client: Client) -> SignIn:
    def sign_in(member: Member) -> Client:
        client.force_login(member.person)
        return client

    return sign_in


def new(practice: Practice) -> str:
    return f"/c/{practice.club.slug}/practices/{practice.pk}/incidents/new/"


def record(practice: Practice, incident: Incident) -> str:
    return f"/c/{practice.club.slug}/practices/incidents/{incident.pk}/"


def injured(cast: Cast, practice: Practice, by: Member) -> list[str]:
    now = timezone.now().isoformat()
    event = {"uuid": str(uuid4()), "at": now, "sequence": 1, "kind": "out_of_practice",
             "athlete": str(cast.vaulter.pk), "reason": "injured"}  # fmt: skip
    batch = {"version": 1, "device": {"uuid": str(uuid4())}, "sent_at": now, "events": [event]}
    return [result.state for _ in (1, 2) for result in take_events(by=by, practice=practice, batch=batch).results]


def test_a_tap_that_takes_somebody_out_injured_opens_one_record(cast: Cast, practice: Practice) -> None:
    assert injured(cast, practice, cast.assistant) == ["accepted", "duplicate"]
    row = Incident.objects.get()
    assert (row.athlete, row.opened_by, row.practice) == (cast.vaulter, cast.assistant.person, practice)
    assert not row.entries.exists()


def test_the_first_account_goes_into_the_record_that_the_tap_opened(
    cast: Cast, practice: Practice, as_member: SignIn
) -> None:
    injured(cast, practice, cast.assistant)
    answer = as_member(cast.assistant).post(new(practice), {**SAID, "athlete": cast.vaulter.pk})
    assert answer.status_code == 302 and Incident.objects.count() == 1
    assert IncidentEntry.objects.get().happened == "She landed on the edge."


def test_an_assistant_who_is_not_in_charge_writes_but_does_not_read(
    cast: Cast, practice: Practice, as_member: SignIn
) -> None:
    AdultPresence.objects.create(
        club=cast.club, practice=practice, person=cast.head_coach.person, came_at=timezone.now()
    )
    client = as_member(cast.assistant)
    assert client.post(new(practice), {**SAID, "athlete": cast.vaulter.pk}).url.endswith(f"/practices/{practice.pk}/")
    assert client.get(record(practice, Incident.objects.get())).status_code == 404


def test_whoever_is_in_charge_the_head_coach_and_the_officer_read_all_of_it(
    cast: Cast, practice: Practice, as_member: SignIn
) -> None:
    AdultPresence.objects.create(
        club=cast.club, practice=practice, person=cast.assistant.person, came_at=timezone.now()
    )
    as_member(cast.assistant).post(new(practice), {**SAID, "athlete": cast.vaulter.pk})
    row = Incident.objects.get()
    for reader in (cast.assistant, cast.head_coach, cast.officer):
        page = as_member(reader).get(record(practice, row))
        assert page.status_code == 200 and "Shoved by a boy" in page.content.decode(), reader.roles
    for other in (cast.helper, cast.athlete, cast.parent):
        assert as_member(other).get(record(practice, row)).status_code == 403, other.roles
    assert as_member(cast.outsider).get(record(practice, row)).status_code == 404
    assert as_member(cast.officer).post(record(practice, row), {"happened": "mine"}).status_code == 200
    assert IncidentEntry.objects.count() == 1, "the officer reads and writes nothing"


def test_an_assistant_reads_it_while_in_charge_and_on_no_other_day(
    cast: Cast, practice: Practice, as_member: SignIn
) -> None:
    presence = AdultPresence.objects.create(
        club=cast.club, practice=practice, person=cast.assistant.person, came_at=timezone.now()
    )
    client = as_member(cast.assistant)
    client.post(new(practice), {**SAID, "athlete": cast.vaulter.pk})
    AdultPresence.objects.filter(pk=presence.pk).update(left_at=timezone.now())
    assert client.get(record(practice, Incident.objects.get())).status_code == 404
    AdultPresence.objects.filter(pk=presence.pk).update(left_at=None)
    Practice.objects.filter(pk=practice.pk).update(day=practice.day - timedelta(days=1))
    assert client.get(record(practice, Incident.objects.get())).status_code == 404


def test_guardians_read_the_plain_part_once_one_of_them_was_told(
    cast: Cast, practice: Practice, as_member: SignIn
) -> None:
    child = f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/"
    as_member(cast.head_coach).post(new(practice), {**SAID, "athlete": cast.vaulter.pk})
    assert "landed on the edge" not in as_member(cast.parent).get(child).content.decode()
    row = Incident.objects.get()
    as_member(cast.head_coach).post(record(practice, row), {"told": "Marta phoned Thandi at 18:00"})
    page = as_member(cast.parent).get(child).content.decode()
    assert "She landed on the edge." in page and "Cooled it." in page
    for private in ("Shoved", "Eero", "Marta phoned"):
        assert private not in page
    stranger = make_member(cast.club, "guardian")
    assert as_member(stranger).get(child).status_code == 404


def test_a_record_is_added_to_and_nothing_in_it_changes(cast: Cast, practice: Practice, as_member: SignIn) -> None:
    client = as_member(cast.head_coach)
    client.post(new(practice), {**SAID, "athlete": cast.vaulter.pk})
    row = Incident.objects.get()
    client.post(record(practice, row), {"happened": "The edge was bare."})
    assert list(row.entries.values_list("happened", flat=True)) == ["She landed on the edge.", "The edge was bare."]
    client.post(new(practice), {**SAID, "athlete": cast.vaulter.pk})
    assert Incident.objects.count() == 2, "a second thing that happened is a second record"


def test_a_blow_to_the_head_rests_the_athlete_until_a_written_clearance(
    cast: Cast, practice: Practice, as_member: SignIn
) -> None:
    client = as_member(cast.assistant)
    client.post(new(practice), {**SAID, "athlete": cast.vaulter.pk, "head": "on"})
    restriction = Restriction.objects.get()
    assert restriction.needs_clearance and restriction.ends_on is None
    assert set(restriction.excludes) == {"floor", "moving", "contact"}
    row = Incident.objects.get()
    assert row.head and row.restriction == restriction
    as_member(cast.head_coach).post(record(practice, row), {"happened": "again", "head": "on"})
    assert Restriction.objects.count() == 1


BAD: list[dict[str, Any]] = [
    {"athlete": ""}, {"athlete": "x"}, {"athlete": str(uuid4())}, {"when": ""}, {"when": "noon"}, {"when": "25:00"},
    {"happened": "x" * 5000}, {"place": "x" * 200}, {"told": "x" * 300}, {"witness": "a\x00b"}, {"private": "\x00"},
    {"place": "", "happened": " ", "done": "", "told": "", "witness": "", "private": ""},
]  # fmt: skip


@pytest.mark.parametrize("change", BAD, ids=lambda said: ",".join(f"{k}={str(v)[:8]!r}" for k, v in said.items())[:60])
def test_bad_input_is_said_and_opens_nothing(
    cast: Cast, practice: Practice, as_member: SignIn, change: dict[str, Any]
) -> None:
    answer = as_member(cast.assistant).post(new(practice), {**SAID, "athlete": cast.vaulter.pk, **change})
    page = answer.content.decode()
    assert answer.status_code == 422 and "Nothing is saved yet" in page and not Incident.objects.exists()
    if "done" not in change:
        assert "Cooled it." in page, "what was typed stays"


def test_no_athlete_of_another_club_or_squad_is_named(cast: Cast, practice: Practice, as_member: SignIn) -> None:
    practice.squads.first().athletes.remove(cast.team_mate)
    answer = as_member(cast.assistant).post(new(practice), {**SAID, "athlete": cast.team_mate.pk})
    assert answer.status_code == 422 and not Incident.objects.exists()


def test_first_aid_and_local_rules_stand_before_the_form(cast: Cast, practice: Practice, as_member: SignIn) -> None:
    page = as_member(cast.assistant).get(new(practice)).content.decode()
    assert page.index("First aid first") < page.index("licensed or certified coach in charge come first")
    assert page.index("emergency number") < page.index('name="happened"')


def test_the_list_is_for_the_head_coach_and_the_officer(cast: Cast, practice: Practice, as_member: SignIn) -> None:
    as_member(cast.head_coach).post(new(practice), {**SAID, "athlete": cast.vaulter.pk})
    address = f"/c/{cast.club.slug}/practices/incidents/"
    for reader, reads in ((cast.head_coach, True), (cast.officer, True), (cast.assistant, False)):
        assert ("Nandi Kestrel" in as_member(reader).get(address).content.decode()) is reads
