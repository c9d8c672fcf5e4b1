"""Reads of practices: the calendar, one practice, its plan, who is there."""
