"""Access: every address, as everybody, to one's own, another's and the other club's, against the written policy."""

import logging
import re
from collections.abc import Iterator

import pytest
from django.http import HttpResponse

from club import roles
from tests.club import policy
from tests.club.asking import BODIES, Browsers, access, foreign_ids, forged, undeclared_methods
from tests.club.crawling import Reader
from tests.club.world import World, make_world
from tests.laws.addresses import addresses


@pytest.fixture
def world(db: None) -> Iterator[World]:
    logging.disable(logging.WARNING)  # thousands of refusals are meant
    yield make_world()
    logging.disable(logging.NOTSET)


def listed(differences: list[str]) -> str:
    return "\n".join([f"{len(differences)} differences", *differences[:40]])


def test_every_permission_is_granted_to_whom_the_policy_says_and_over_what() -> None:
    written = policy.table(policy.PERMISSIONS)
    granted = {
        str(permission): {str(role): str(relation) for role, relation in by_role.items()}
        for permission, by_role in roles.GRANTS.items()
    }
    assert {name: {role: cell for role, cell in row.items() if cell != "."} for name, row in written.items()} == granted


def test_every_address_stands_in_the_policy_and_nothing_else_does() -> None:
    club = {address.name for address in addresses() if "club" in address.arguments}
    assert club == set(policy.PAGE_TABLE)
    assert {address.name for address in addresses()} - club == policy.PUBLIC | policy.SIGNED_IN | policy.BY_SECRET
    assert set(policy.PAGE_TABLE["week"]) == set(policy.ROLES) == {str(role) for role in roles.Role}


def test_every_address_that_takes_a_body_has_a_valid_one_here() -> None:
    assert {address.name for address in addresses() if set(address.door.methods) - {"GET"}} == set(BODIES)


def test_every_address_answers_everybody_as_the_policy_says(world: World, capsys: pytest.CaptureFixture[str]) -> None:
    reader = Reader(world)
    found = access(world, seen=reader.take_case)
    with capsys.disabled():
        print(f"\n{found.cases.total()} cases of access: {dict(found.cases)}")
    assert not found.differences, listed(found.differences)
    assert found.clean, "each case was undone"
    assert not reader.differences(), listed(reader.differences())  # of refusals and of answers to unsafe requests
    assert found.cases.total() >= 2000
    on_the_device = {"account_logout", "this_screen"}
    assert found.wrote == set(BODIES) - on_the_device - policy.BY_SECRET, "the bodies are valid: each changes something"


def test_a_method_that_an_address_does_not_declare_is_405(world: World) -> None:
    assert not (found := undeclared_methods(world)), listed(found)


def test_nothing_unsafe_is_done_without_the_token_against_forgery(world: World) -> None:
    assert not (found := forged(world)), listed(found)


def test_no_id_of_another_club_practice_or_station_is_taken_from_what_is_posted(
    world: World, capsys: pytest.CaptureFixture[str]
) -> None:
    found, count = foreign_ids(world)
    with capsys.disabled():
        print(f"\n{count} posted ids")
    assert not found, listed(found)
    assert count >= 40


def test_a_club_one_is_no_member_of_looks_like_a_club_that_does_not_exist(world: World) -> None:
    browsers = Browsers(world)
    for viewer, other in (("head", "elsewhere"), ("nandi", "elsewhere"), ("outsider_head", "ternfield")):
        there, nowhere = (browsers.ask(viewer, "GET", f"/c/{slug}/week/") for slug in (other, "no-such-club"))
        assert there.status_code == nowhere.status_code == 404
        assert without_token(there) == without_token(nowhere)


def test_the_objects_of_another_club_look_like_objects_that_do_not_exist(world: World) -> None:
    browsers = Browsers(world)
    elsewhere, nobody = world.objects["practice"]["elsewhere_today"].pk, "00000000-0000-0000-0000-000000000000"
    there, nowhere = (browsers.ask("head", "GET", f"/c/ternfield/practices/{pk}/") for pk in (elsewhere, nobody))
    assert there.status_code == nowhere.status_code == 404
    assert without_token(there) == without_token(nowhere)


def without_token(answer: HttpResponse) -> str:
    """Nor with the address that was asked for, which the button that hides the screen leads back to."""
    said = answer.content.decode().replace(answer.request["PATH_INFO"], "")  # type: ignore[attr-defined]
    return re.sub(r"\b\w{64}\b", "", said)
