"""Addresses of calendars are secrets: they are in no archive, and whoever wants one makes it anew."""

from club import archive
from sessions.feeds.models import CalendarAddress

archive.leave_out("a secret address, which is made anew", CalendarAddress)
