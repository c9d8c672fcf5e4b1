"""Reads: the problem that a practice's rows pose, and what stands beside a place on the page of the plan."""

from sessions.planning.queries.problem import Posed, pose

__all__ = ["Posed", "pose"]
