"""Which calendars one may have, and what stands in one."""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _

from athletes.models import Athlete, Squad
from club.clock import local_day
from club.members import Member, find_member
from club.roles import Permission
from sessions.feeds.core import Entry
from sessions.feeds.models import CalendarAddress
from sessions.practices.models import Practice

BACK, MOST = timedelta(days=60), 500


def hash_of(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Choice:
    """A calendar that the member may have. value: as posted. address: the one in use, if any."""

    value: str
    words: str
    athlete: Athlete | None = None
    squad: Squad | None = None
    address: CalendarAddress | None = None


def choices(member: Member) -> list[Choice]:
    """Own practices, each child's, and for coaches each squad's and all."""
    used = {
        (row.about_id, row.squad_id): row
        for row in CalendarAddress.objects.for_member(member).filter(person=member.person, revoked_at__isnull=True)
    }

    def choice(value: str, words: str, athlete: Athlete | None = None, squad: Squad | None = None) -> Choice:
        key = (athlete.person_id if athlete else None, squad.pk if squad else None)
        return Choice(value, words, athlete, squad, used.get(key))

    found = []
    for permission in (Permission.MY_READ, Permission.CHILD_READ):
        for athlete in _athletes(member, permission):
            name = athlete.person.given_name
            words = _("My practices") if athlete.person == member.person else _("%(name)s’s practices") % {"name": name}
            found.append(choice(f"athlete:{athlete.pk}", words, athlete))
    coach = member.acting(Permission.PRACTICE_READ)
    if coach.sees_club:
        found.append(choice("all", _("All practices of the club")))
        for squad in Squad.objects.for_member(coach):
            found.append(choice(f"squad:{squad.pk}", _("Practices of %(squad)s") % {"squad": squad.name}, squad=squad))
    return found


def _athletes(member: Member, permission: Permission) -> QuerySet[Athlete]:
    acting = member.acting(permission)
    if not acting.relations:
        return Athlete.objects.none()
    rows = Athlete.objects.for_member(acting).filter(left_on__isnull=True).select_related("person")
    return rows.order_by("person__given_name", "pk")


@dataclass(frozen=True, slots=True)
class Feed:
    """An address that works: whose it is, as a member of its club today, and the rows it shows."""

    address: CalendarAddress
    member: Member
    rows: QuerySet[Practice]


def feed(token: str, now: datetime) -> Feed | None:
    """What an address shows; None for one that is unknown, revoked, or whose person may see none of it any more."""
    rows = CalendarAddress.objects.filter(token_hash=hash_of(token), revoked_at__isnull=True)
    address = rows.select_related("person", "about", "squad", "club").first()
    member = find_member(address.person, address.club.slug) if address and address.person.is_active else None
    if address is None or member is None:
        return None
    acting = member.acting(_permission(address))
    practices = _practices(address, acting)
    if practices is None:
        return None
    first = local_day(address.club, now) - BACK
    return Feed(address, acting, practices.filter(day__gte=first).order_by("day", "starts", "pk")[:MOST])


def _permission(address: CalendarAddress) -> Permission:
    if address.about_id is None:
        return Permission.PRACTICE_READ
    return Permission.MY_READ if address.about_id == address.person_id else Permission.CHILD_READ


def _practices(address: CalendarAddress, member: Member) -> QuerySet[Practice] | None:
    rows = Practice.objects.for_member(member).select_related("venue").prefetch_related("squads")
    if address.about_id is None:
        if not member.sees_club:
            return None
        return rows.filter(squads=address.squad) if address.squad_id else rows
    athlete = Athlete.objects.for_member(member).filter(person=address.about_id, left_on__isnull=True).first()
    if athlete is None:
        return None
    theirs = Q(squads__athletes=athlete) | Q(attendances__athlete=athlete)
    return rows.filter(theirs, published_at__isnull=False).distinct()


def name(found: Feed) -> str:
    address = found.address
    if address.squad:
        return f"{address.squad.name}, {address.club.name}"
    if address.about and address.about_id != address.person_id:
        return f"{address.about.given_name}, {address.club.name}"
    return str(address.club.name)


def entries(found: Feed) -> list[Entry]:
    return [_entry(found, row) for row in found.rows]


def _entry(found: Feed, row: Practice) -> Entry:
    venue = row.venue
    return Entry(
        id=row.pk,
        sequence=row.sequence,
        day=row.day,
        starts=row.starts,
        ends=row.ends,
        zone=row.zone,
        title=_title(found, row),
        place=", ".join(filter(None, (venue.name, venue.address))),
        about=_("Bring: %(what)s") % {"what": row.bring} if row.bring else "",
        url=settings.SITE_URL + _page(found, row),
        cancelled=row.cancelled_at is not None,
        draft=row.published_at is None,
    )


def _title(found: Feed, row: Practice) -> str:
    address = found.address
    if address.about_id is None:
        title = _("Practice: %(squads)s") % {"squads": ", ".join(squad.name for squad in row.squads.all()) or "–"}
    elif address.about_id == address.person_id:
        title = _("Vault practice")
    else:
        title = _("%(name)s: vault practice") % {"name": address.about.given_name if address.about else ""}
    return _("Cancelled: %(title)s") % {"title": title} if row.cancelled_at else title


def _page(found: Feed, row: Practice) -> str:
    slug, address = found.address.club.slug, found.address
    if address.about_id is None:
        return reverse("practice", args=[slug, row.pk])
    return reverse("my_practice" if address.about_id == address.person_id else "children", args=[slug])
