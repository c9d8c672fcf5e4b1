"""Writes of athletes: profiles, restrictions, cards, poles, rosters; decisions; readiness and standing."""

from athletes.actions.decisions import CannotDecide, decide, place, set_aside, take_back
from athletes.actions.profile import add_athlete, add_squad
from athletes.actions.readiness import lock_readiness, replay_readiness
from athletes.actions.restrictions import restrict

__all__ = [
    "CannotDecide",
    "add_athlete",
    "add_squad",
    "decide",
    "lock_readiness",
    "place",
    "replay_readiness",
    "restrict",
    "set_aside",
    "take_back",
]
