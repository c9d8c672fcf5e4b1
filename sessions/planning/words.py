"""Reasons, rules and who is served least, in sentences. Data in, words out."""

from collections.abc import Callable, Iterable, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from athletes.core.readiness import Reading
from sessions.planning.core.problem import Answer, Bar, Collision, Least, Reason, Why
from sessions.practices.core.plan import Plan

NBSP = "\N{NO-BREAK SPACE}"


def share_of(part: int, whole: int) -> str:
    return (_("%(part)d of %(whole)d") % {"part": part, "whole": whole}).replace(" ", NBSP)


def days_ago(days: int) -> str:
    if days <= 0:
        return _("today")
    return ngettext("%(days)d day ago", "%(days)d days ago", days) % {"days": days}


def reason_sentence(reason: Reason) -> str:
    values = {
        "what": reason.what,
        "share": share_of(reason.part, reason.whole),
        "days": days_ago(reason.days),
        "tenths": f"{round(reason.share * 10)}{NBSP}{_('in')}{NBSP}10",
    }
    return _REASONS[reason.why](reason) % values


def _little_seen(reason: Reason) -> str:
    reps = ngettext("%(n)d rep", "%(n)d reps", reason.whole) % {"n": reason.whole}
    return _("Too little seen: %(reps)s on one day. A second day is needed before any advice.") % {"reps": reps}


_REASONS: dict[Why, Callable[[Reason], str]] = {
    Why.PERSISTENT_FAULT: lambda r: _("Aims at %(what)s: faulty in %(share)s watched of late."),
    Why.FIRST_LINK: lambda r: _("Aims at %(what)s, which leads to other faults: in %(share)s watched of late."),
    Why.WARM_UP: lambda r: _("Stays in the warm-up: it opened %(what)s, and %(share)s reps of the check are seen."),
    Why.FOCUS: lambda r: _("The practice’s focus: %(what)s."),
    Why.LEARNING: lambda r: _("Hard enough to learn by: about %(tenths)s good are to be expected."),
    Why.TOO_HARD: lambda r: _("Hard yet: about %(tenths)s good are to be expected."),
    Why.TOO_SURE: lambda r: _("Nearly always good by now: about %(tenths)s."),
    Why.TOO_LITTLE_SEEN: _little_seen,
    Why.NEVER_DONE: lambda r: _("Open, and not done yet."),
    Why.LAST_DONE: lambda r: _("Last done %(days)s."),
    Why.SETTLED: lambda r: _("Settled: it keeps its place behind what is not."),
    Why.EASIER: lambda r: _("The figures speak for an easier drill."),
    Why.ACTIVITY: lambda r: _("An activity: it comes where no drill is worth more."),
    Why.JOB: lambda r: _("A job beside the others’ drill: no drill was left."),
}


def readiness_words(reading: Reading | None) -> str:
    if reading is None:
        return _("no reps yet")
    low, high = f"{int(reading.low * 100)}{NBSP}%", f"{-int(-reading.high * 100 // 1)}{NBSP}%"
    return _("likely range %(low)s to %(high)s") % {"low": low, "high": high}


def bar_words(bar: Bar) -> str:
    return {
        Bar.NO_BLOCK: _("the plan has no block yet"),
        Bar.NO_STATION: _("the plan has no station yet"),
        Bar.ADULT: _("no adult who may run it is at the station"),
        Bar.TWO_ADULTS: _("fewer than two adults are named"),
        Bar.ADULT_ELSEWHERE: _("the adult runs another station in that block"),
        Bar.ONE_FAMILY: _("the station has another drill in that block"),
        Bar.ROOM: _("the station is full"),
        Bar.FEW_TURNS: _("there would be too few turns for everybody there"),
        Bar.POLE: _("the pole is at another station, or none is known to fit"),
        Bar.PINNED: _("another place was chosen by hand"),
        Bar.MEANT: _("the plan’s template means something else there"),
        Bar.MOVES: _("four changes of place are enough in one practice"),
        Bar.NOT_WARM: _("nothing before it warms up for full effort"),
        Bar.LOAD: _("it would be too many turns of its kind for one practice"),
        Bar.LOAD_DAYS: _("this kind of load had its days this week, or needs a day between"),
        Bar.AREA: _("it needs another kind of place"),
        Bar.SURFACE: _("it is never done on that surface"),
        Bar.NOT_OPEN: _("nothing that may be done there is open yet"),
        Bar.RETURNS: _("after three weeks away the first practice is floor drills"),
        Bar.MEET_EVE: _("the day before a meet is floor drills only"),
        Bar.CLEARANCE: _("it needs the head coach’s clearance"),
        Bar.RESTRICTED: _("a restriction excludes it"),
        Bar.ORDER: _("a warm-up comes first and a cool-down last"),
    }[bar]


def freed_words(bar: Bar) -> str:
    """What would help, where the coach can do something; empty otherwise."""
    return {
        Bar.NO_BLOCK: _("Add a block."),
        Bar.NO_STATION: _("Add a station."),
        Bar.ADULT: _("Say at the station who runs it."),
        Bar.TWO_ADULTS: _("Name a second adult."),
        Bar.ADULT_ELSEWHERE: _("Another adult would free it."),
        Bar.ROOM: _("Another station would free it."),
        Bar.FEW_TURNS: _("A longer block or another station would free it."),
        Bar.ONE_FAMILY: _("Another station would free it."),
        Bar.MEANT: _("Put somebody there by hand, and what was meant gives way."),
        Bar.NOT_WARM: _("A warm-up or a floor drill in an earlier block would free it."),
    }.get(bar, "")


def listed(parts: Iterable[str]) -> str:
    found = list(dict.fromkeys(parts))
    if len(found) < 2:
        return "".join(found)
    return _("%(first)s and %(last)s") % {"first": ", ".join(found[:-1]), "last": found[-1]}


def _rules(bars: Sequence[Bar]) -> str:
    return listed(map(bar_words, bars))


def collision_sentence(collision: Collision, plan: Plan) -> str:
    who = ", ".join(plan.vaulter(key).name for key in collision.vaulters)
    help_words = " ".join(dict.fromkeys(filter(None, map(freed_words, collision.bars))))
    if not collision.block:
        return f"{_('Nobody can be placed: %(rules)s.') % {'rules': _rules(collision.bars)}} {help_words}".strip()
    values = {"who": who, "block": collision.block, "rules": _rules(collision.bars), "where": _where(collision, plan)}
    said = _("No place in block %(block)d for %(who)s. Nearest: %(where)s, but %(rules)s.")
    if not collision.work:
        said = _("No place in block %(block)d for %(who)s: %(rules)s.")
    return f"{said % values} {help_words}".strip()


def _where(collision: Collision, plan: Plan) -> str:
    work = plan.work(collision.work).name if collision.work else ""
    if collision.station is None:
        return work
    return _("%(work)s at %(station)s") % {"work": work, "station": plan.station(collision.station).name}


def least_sentence(least: Least, plan: Plan) -> str:
    """Who is served least, and why."""
    name = plan.vaulter(least.vaulter).name
    if not least.work:
        return _("Served least: %(name)s. Everything that is open has a place already.") % {"name": name}
    values = {"name": name, "work": plan.work(least.work).name}
    if not least.bars:
        return _("Served least: %(name)s. %(work)s would be worth more, and would leave others worse off.") % values
    said = _("Served least: %(name)s. %(work)s would be worth more, but %(rules)s.")
    return said % {**values, "rules": _rules(least.bars)}


def filled_sentence(answer: Answer) -> str:
    count = len(answer.placings)
    return ngettext("%(n)d place was filled.", "%(n)d places were filled.", count) % {"n": count}
