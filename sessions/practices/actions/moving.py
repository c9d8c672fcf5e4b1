"""One practice to another day, time or place: its plan goes with it, and its rules are checked again."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date

from django.db.models import Q
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from club.members import Member
from club.models import Area
from sessions.practices.actions.errors import NotNow, PlanRefused
from sessions.practices.changes import Change, ChangeKind, Slot, tell
from sessions.practices.core.clock import PastMidnight, SkippedTime, clock_after, instant, minutes_between
from sessions.practices.models import Practice


def put_at(by: Member, row: Practice, to: Slot) -> bool:
    """Whether it moved. Inside a transaction that holds the row, and inside ``no_less_safe``. Raises NotNow,
    SkippedTime."""
    was = Slot.of(row)
    if was == to:
        return False
    instant(to.day, to.starts, row.zone), instant(to.day, to.ends, row.zone)
    _may_move(row, to)
    _take_stations_along(row, to)
    _take_blocks_along(row, to)
    row.venue, row.day, row.starts, row.ends = to.venue, to.day, to.starts, to.ends
    row.sequence += 1
    row.save(update_fields=["venue", "day", "starts", "ends", "sequence"])
    tell(by, Change(ChangeKind.MOVED, row, was))
    return True


def _may_move(row: Practice, to: Slot) -> None:
    if (row.venue_id, row.day) == (to.venue.pk, to.day):
        return
    if row.released_at:
        raise NotNow(_("This practice is over and released. Its day and venue stay."))
    if row.events.exists():
        raise NotNow(_("Reps or attendance were recorded at this practice. Its day and venue stay."))


def _take_blocks_along(row: Practice, to: Slot) -> None:
    """Each block begins as long after the start as before, in minutes that really pass, and must end in time."""
    blocks = list(row.blocks.all())
    ends = instant(to.day, to.ends, row.zone)
    for block in blocks:
        after = round(minutes_between(row.day, row.starts, block.starts, row.zone))
        try:
            block.starts = clock_after(to.day, to.starts, after, row.zone)
        except PastMidnight:
            raise NotNow(_outside()) from None
        if (ends - instant(to.day, block.starts, row.zone)).total_seconds() < block.minutes * 60:
            raise NotNow(_outside())
    for block in blocks:
        block.save(update_fields=["starts"])


def _outside() -> str:
    return _("The plan's blocks would lie outside of these times. Take blocks out of the plan first.")


def _take_stations_along(row: Practice, to: Slot) -> None:
    """To the place of the new venue that is most like its own. Raises NotNow, naming what has no such place."""
    if row.venue_id == to.venue.pk:
        return
    free = list(Area.objects.filter(venue=to.venue).order_by("name", "pk"))
    for station in row.stations.select_related("area"):
        area = likest(free, station.area.name, station.area.kind, station.area.surface, station.area.places)
        if area is None:
            raise NotNow(
                _("%(venue)s has no place like %(area)s, where a station of the plan stands. Take it out first.")
                % {"venue": to.venue, "area": station.area}
            )
        free.remove(area)
        station.area = area
        station.save(update_fields=["area"])


def likest(areas: Iterable[Area], name: str, kind: str, surface: str, places: int = 0) -> Area | None:
    """Of the same kind; then of the same name, the same surface, and with room for as many."""

    def unlike(area: Area) -> tuple[bool, bool, bool, str]:
        return area.name != name, area.surface != surface, area.places < places, area.name

    return min((area for area in areas if area.kind == kind), key=unlike, default=None)


def check_squads_are_free(by: Member, row: Practice) -> None:
    """Nobody can be at two practices. Raises NotNow, naming squad and the other practice."""
    if row.cancelled_at:
        return
    others = Practice.objects.for_member(by).filter(day=row.day, cancelled_at__isnull=True).exclude(pk=row.pk)
    at_once = others.filter(Q(starts__lt=row.ends, ends__gt=row.starts), squads__in=row.squads.all())
    other = at_once.select_related("venue").prefetch_related("squads").first()
    if other is None:
        return
    both = {squad.name for squad in row.squads.all()} & {squad.name for squad in other.squads.all()}
    raise NotNow(
        _("%(squads)s: another practice is at that time, %(day)s, %(starts)s to %(ends)s at %(venue)s.")
        % {
            "squads": ", ".join(sorted(both)),
            "day": day_words(other.day),
            "starts": f"{other.starts:%H:%M}",
            "ends": f"{other.ends:%H:%M}",
            "venue": other.venue,
        }
    )


def day_words(day: date) -> str:
    return str(date_format(day, "l j F"))


@contextmanager
def naming(row: Practice, several: bool) -> Iterator[None]:
    """Says of which practice it is, where more than one is changed at once."""
    try:
        yield
    except SkippedTime as error:
        said = _("The clocks are put forward on %(day)s, and that day does not have this time.")
        raise NotNow(said % {"day": day_words(row.day)}) from error
    except NotNow as error:
        raise NotNow(f"{day_words(row.day)}: {error}" if several else str(error)) from error
    except PlanRefused as error:
        if not several:
            raise
        lead = f"{day_words(row.day)}: "
        raise PlanRefused(_led(lead, error.unsafe), _led(lead, error.senseless)) from error


def _led(lead: str, sentences: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{lead}{sentence}" for sentence in sentences)
