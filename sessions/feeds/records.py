"""The rows of this room that are about a person."""

from club.subjects import Subject, register
from sessions.feeds.models import CalendarAddress

register(Subject(CalendarAddress, "person"), Subject(CalendarAddress, "about"))
