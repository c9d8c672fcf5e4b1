"""Writes of practices: the calendar, the plan by hand, adults' presence."""
