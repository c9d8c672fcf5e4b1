"""What time it is for a club. Doors ask here and hand the answer down; cores and queries never ask."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from club.models import Club


def club_now(club: Club) -> datetime:
    """The moment, told in the club's own zone."""
    return timezone.now().astimezone(ZoneInfo(club.zone))


def local_day(club: Club, at: datetime) -> date:
    """The club's date at a moment."""
    return at.astimezone(ZoneInfo(club.zone)).date()


def club_today(club: Club) -> date:
    """The local date of the club."""
    return club_now(club).date()
