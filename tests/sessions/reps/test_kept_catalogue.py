"""What a process keeps of a club's catalogue between batches holds exactly as long as the catalogue does."""

from typing import Any

import pytest
from django.db import transaction

from club.members import Member
from club.roles import Permission
from drills import queries
from drills.actions import load_catalogue, store_items
from drills.core.items import ItemId, Kind, stamp
from drills.core.reading import read_catalogue
from drills.models import CatalogueStamp
from sessions.reps.queries.known import CatalogueRows, catalogue_rows
from tests.builders import Cast
from tests.drills.editing import SMALL

JUMPS = ItemId(Kind.FAULT, "jumps")


@pytest.fixture
def coach(cast: Cast) -> Member:
    load_catalogue(club=cast.club, catalogue=read_catalogue(SMALL), source=SMALL.decode())
    return cast.head_coach.acting(Permission.CATALOGUE_EDIT)


def known(coach: Member) -> CatalogueRows:
    return catalogue_rows(coach.club, CatalogueStamp.objects.get(club=coach.club).stamp)


def call_safe(coach: Member) -> None:
    items = queries.items(coach)
    read = stamp(items)
    store_items(by=coach, items={**items, JUMPS: {**items[JUMPS], "unsafe": False}}, read=read)


def test_it_is_read_once_and_again_after_a_change(coach: Member, django_assert_num_queries: Any) -> None:
    assert known(coach).values.unsafe(frozenset({"jumps"}))
    with django_assert_num_queries(1):  # the stamp alone
        known(coach)
    call_safe(coach)
    assert not known(coach).values.unsafe(frozenset({"jumps"}))


def test_what_was_never_committed_is_not_taken_for_what_was(coach: Member) -> None:
    with transaction.atomic():
        call_safe(coach)
        assert not known(coach).values.unsafe(frozenset({"jumps"}))
        transaction.set_rollback(True)
    assert known(coach).values.unsafe(frozenset({"jumps"}))
    with transaction.atomic():
        call_safe(coach)
    assert not known(coach).values.unsafe(frozenset({"jumps"}))


def test_without_a_stamp_nothing_is_kept(coach: Member, django_assert_num_queries: Any) -> None:
    for _ in range(2):
        with django_assert_num_queries(4):
            catalogue_rows(coach.club, None)
