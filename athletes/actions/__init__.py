"""Writes of athletes: profiles, restrictions, measurements, cards, poles, rosters; and readiness rows."""

from athletes.actions.profile import add_athlete, add_squad
from athletes.actions.readiness import lock_readiness, replay_readiness
from athletes.actions.restrictions import restrict

__all__ = ["add_athlete", "add_squad", "lock_readiness", "replay_readiness", "restrict"]
