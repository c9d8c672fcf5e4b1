"""Canaries: each private field of each person holds a word of its own, which reaches only whom the policy names."""

import logging
from collections.abc import Iterator

import pytest

from tests.club import policy
from tests.club.crawling import crawl, forbidden
from tests.club.world import World, make_world


@pytest.fixture
def world(db: None) -> Iterator[World]:
    logging.disable(logging.ERROR)
    yield make_world()
    logging.disable(logging.NOTSET)


# Words that must be found, or the crawl would prove nothing: viewer, kind, whom it is about.
FOUND = [
    ("head", "restriction_reason", "nandi"),
    ("head", "restriction_what", "nandi"),
    ("head", "athlete_family", "nandi"),
    ("head", "adult_family", "parent"),
    ("head", "bring_draft", "nandi"),
    ("head", "squad", "saoirse"),
    ("head", "fault_seen", ""),
    ("head", "duty_error", ""),
    ("head", "mail", "nandi"),
    ("head", "mail_to_minor", "eero"),
    ("officer", "mail_to_minor", "eero"),
    ("head", "body_mass", "nandi"),
    ("head", "pole_rating", ""),
    ("head", "barred", "nandi"),
    ("assistant", "barred", "nandi"),
    ("assistant", "departure", "eero"),
    ("assistant", "broken_kit", ""),
    ("head", "incident_private", "nandi"),
    ("officer", "incident_private", "nandi"),
    ("parent", "incident_plain", "nandi"),
    ("head", "clearance", "nandi"),
    ("head", "placement", "nandi"),
    ("head", "roster_cell", ""),
    ("head", "lasting_note_head", "saoirse"),
    ("head", "phone", "parent"),
    ("assistant", "notebook", "nandi"),
    ("assistant", "lasting_note_coaches", "nandi"),
    ("nandi", "notebook", "nandi"),
    ("nandi", "emergency_card", "nandi"),
    ("nandi", "lasting_note_athlete", "nandi"),
    ("parent", "emergency_card", "nandi"),
    ("parent", "lasting_note_athlete", "nandi"),
    ("unshown_parent", "emergency_card", "nandi"),
    ("unshown_parent", "restriction_what", "nandi"),
    ("unshown_parent", "bring_published", "nandi"),
    ("outsider_head", "body_mass", "outsider_athlete"),
    ("assistant", "restriction_what", "nandi"),
    ("assistant", "athlete_given", "saoirse"),
    ("assistant", "fault_seen", ""),
    ("helper", "athlete_given", "nandi"),
    ("head", "summary_draft", "saoirse"),
    ("nandi", "summary_told", "nandi"),
    ("parent", "summary_told", "nandi"),
    ("two_parent", "summary_told", "eero"),
    ("two_parent", "summary_told", "saoirse"),
    ("head", "self_check", "nandi"),
    ("nandi", "self_check", "nandi"),
    ("parent", "self_check", "nandi"),
    ("two_parent", "athlete_given", "eero"),
    ("two_parent", "athlete_given", "saoirse"),
    ("other_home", "self_check", "nandi"),
    ("nandi", "note_released", "nandi"),
    ("nandi", "bring_published", "nandi"),
    ("nandi", "restriction_what", "nandi"),
    ("nandi", "officer_phone", "officer"),
    ("parent", "athlete_given", "nandi"),
    ("parent", "restriction_what", "nandi"),
    ("parent", "bring_published", "nandi"),
    ("parent", "officer_family", "officer"),
    ("cross", "athlete_given", "saoirse"),
    ("cross", "restriction_reason", "outsider_athlete"),
    ("officer", "adult_family", "head"),
    ("outsider_head", "restriction_reason", "outsider_athlete"),
]


def test_no_word_is_read_where_the_policy_forbids_it(world: World, capsys: pytest.CaptureFixture[str]) -> None:
    reader = crawl(world)
    differences = reader.differences()
    with capsys.disabled():
        print(f"\n{len(world.canaries)} canaries, {reader.reading.answers} answers read, {len(differences)} found")
    assert not differences, "\n".join([str(len(differences)), *differences[:60]])
    assert reader.reading.answers > 400
    missing = [wanted for wanted in FOUND if not _found(world, reader.reading.found[wanted[0]], *wanted[1:])]
    assert missing == [], "read by nobody who should have read it"


def _found(world: World, words: dict[str, str], kind: str, about: str) -> bool:
    fits = [c.word for c in world.canaries if c.kind == kind and (about in c.about if about else True)]
    return any(word in words for word in fits)


def test_every_kind_of_word_has_readers_in_the_policy_and_is_forbidden_to_somebody(world: World) -> None:
    kinds = {canary.kind for canary in world.canaries}
    assert set(policy.FIELDS) <= kinds
    assert kinds - set(policy.FIELDS) == {"club_name", "venue"}
    for canary in world.canaries:
        kept_from = {viewer for viewer in policy.VIEWERS if forbidden(canary, viewer)}
        assert {"anonymous", "stranger"} <= kept_from | set(canary.about)
        assert "left_assistant" in kept_from | set(canary.about)
        assert canary.club == "both" or ("outsider_head" if canary.club == "here" else "head") in kept_from


def test_each_word_is_no_part_of_another(world: World) -> None:
    words = sorted({canary.word.lower() for canary in world.canaries})
    assert [(a, b) for a in words for b in words if a != b and a in b] == []
