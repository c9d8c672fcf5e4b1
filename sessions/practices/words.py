"""What a finding says: one sentence a rule, with names and figures, and what would help."""

from collections.abc import Callable

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from drills.core.catalogue import AdultLevel
from sessions.practices.core.plan import Plan
from sessions.practices.core.rules import Finding, Rule

NBSP = "\N{NO-BREAK SPACE}"


def said(finding: Finding, plan: Plan) -> str:
    return _SENTENCES[finding.rule](finding, plan) % _values(finding, plan)


def names(keys: tuple[str, ...], plan: Plan) -> str:
    return ", ".join(plan.vaulter(key).name for key in keys)


def _values(finding: Finding, plan: Plan) -> dict[str, object]:
    station = plan.station(finding.station) if finding.station else None
    adult = plan.adult(station.adult) if station else None
    work = plan.work(finding.work)
    return {
        "who": names(finding.vaulters, plan),
        "work": work.name,
        "station": station.name if station else _("no station"),
        "adult": adult.name if adult else "",
        "block": finding.block,
        "count": finding.count,
        "limit": finding.limit,
        "load": work.load.name if work.load else "",
        "steps": ", ".join(str(steps) for steps in work.steps),
    }


def _adult(finding: Finding, plan: Plan) -> str:
    work = plan.work(finding.work)
    station = plan.station(finding.station) if finding.station else None
    if station is None:
        return _("%(work)s needs an adult there who may run floor stations.")
    if plan.adult(station.adult) is None:
        return _("%(work)s needs an adult at %(station)s who is expected at this practice. Say there who runs it.")
    if work.adult_needed is AdultLevel.CONTACT:
        return _("%(work)s needs an adult who may run contact stations. %(adult)s may not.")
    return _("%(work)s needs an adult who may run floor stations. %(adult)s is there as present only.")


def _room(finding: Finding, plan: Plan) -> str:
    return ngettext(
        "%(station)s has room for %(limit)d, and %(count)d would be there in block %(block)d.",
        "%(station)s has room for %(limit)d, and %(count)d would be there in block %(block)d.",
        finding.limit,
    )


def _few_turns(finding: Finding, plan: Plan) -> str:
    return ngettext(
        "%(work)s, block %(block)d: %(count)d turn each, and fewer than %(limit)d are of little use."
        " A longer block or fewer athletes would help.",
        "%(work)s, block %(block)d: %(count)d turns each, and fewer than %(limit)d are of little use."
        " A longer block or fewer athletes would help.",
        finding.count,
    )


_SENTENCES: dict[Rule, Callable[[Finding, Plan], str]] = {
    Rule.RESTRICTED: lambda f, p: _("%(who)s is under a restriction that excludes %(work)s."),
    Rule.OUT_OF_PRACTICE: lambda f, p: _("%(who)s was taken out of this practice."),
    Rule.NOT_OPENED: lambda f, p: _("%(work)s is a contact drill, and the head coach has not opened it for %(who)s."),
    Rule.NO_CLEARANCE: lambda f, p: _(
        "%(work)s needs the head coach’s clearance, and %(who)s has none with a pole that fits."
    ),
    Rule.CHECK_DUE: lambda f, p: _("%(who)s: check due. Weigh before %(work)s in block %(block)d."),
    Rule.SURFACE: lambda f, p: _("%(work)s is never done on the surface of %(station)s."),
    Rule.ADULT: _adult,
    Rule.ADULT_ELSEWHERE: lambda f, p: _(
        "%(adult)s would run %(count)d stations at once in block %(block)d, %(station)s among them."
    ),
    Rule.TWO_ADULTS: lambda f, p: _(
        "%(work)s needs two adults at the practice, and %(count)d is named. Until then floor drills only."
    ),
    Rule.NEEDS_STATION: lambda f, p: _("%(work)s is done at a station only."),
    Rule.ONE_PLACE: lambda f, p: _("%(who)s has another place in block %(block)d."),
    Rule.ROOM: _room,
    Rule.ONE_FAMILY: lambda f, p: _(
        "%(station)s has another drill in block %(block)d. Drills of one family alone share a station."
    ),
    Rule.AREA: lambda f, p: _("%(work)s does not fit %(station)s: it needs another kind of place."),
    Rule.STEPS: lambda f, p: _("%(work)s is run with these steps: %(steps)s."),
    Rule.TRY_FIRST: lambda f, p: _(
        "%(station)s: slide a tip by hand before anyone begins with %(work)s. If it does not slide, use another place."
    ),
    Rule.FEW_TURNS: _few_turns,
    Rule.LONG_QUEUE: lambda f, p: _("%(work)s is meant for at most %(limit)d at a time; %(count)d are at %(station)s."),
    Rule.LOAD: lambda f, p: _(
        "%(who)s: about %(count)d turns of %(load)s with block %(block)d. Stop at %(limit)d in one practice."
    ),
    Rule.ABSENT: lambda f, p: _("%(who)s is not here, or has said that they cannot come."),
    Rule.NOT_OPEN_YET: lambda f, p: _("%(work)s is not open yet for %(who)s, by their reps or by the head coach."),
    Rule.LOOK_AT_RESTRICTION: lambda f, p: _(
        "%(who)s is under a restriction. Look whether %(work)s in block %(block)d stays within it."
    ),
}
