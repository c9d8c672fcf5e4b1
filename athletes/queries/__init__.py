"""Reads of athletes: readiness, profiles, poles, rosters."""

from athletes.queries.readiness import (
    SETTINGS,
    DrillReading,
    athlete_readiness,
    snapshot_before,
    squad_readiness,
    state_of,
)

__all__ = ["SETTINGS", "DrillReading", "athlete_readiness", "snapshot_before", "squad_readiness", "state_of"]
