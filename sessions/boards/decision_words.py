"""Words of decisions: what a button does, what was decided on which figures, what a drill still lacks."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.formats import time_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from athletes.core.readiness import Settings
from athletes.core.standing import ClosedBy, DecisionKind, Lack, OpenedBy, Standing
from athletes.models import Decision, Notice
from athletes.queries import SETTINGS
from athletes.queries.decisions import OPEN
from athletes.queries.standing import Stand
from sessions.boards.words import day_words, glued, high_percent, low_percent, share_of

Kind = Decision.Kind


def act_words(kind: DecisionKind, drill: str, advice: str) -> str:
    """What pressing it does. advice: what the figures advise there now."""
    if kind is DecisionKind.TOUCH:
        return _("Open %(drill)s") % {"drill": drill}
    if kind is DecisionKind.KEEP_ON:
        return _("Not yet") if advice == OPEN else _("Keep on")
    if kind is DecisionKind.SETTLED:
        return _("Settled") if advice == "settled" else _("Settled anyway")
    return _("Easier drill") if kind is DecisionKind.EASIER_DRILL else _("Start over")


def act_label(words: str, athlete: str, drill: str) -> str:
    """The same for those who do not see the row it stands in."""
    return f"{words}: {athlete}, {drill}"


_SAID = {
    Kind.TOUCH: (
        lambda: _("You opened %(drill)s for %(athlete)s"),
        lambda: _("%(who)s opened %(drill)s for %(athlete)s"),
    ),
    Kind.PLACE: (
        lambda: _("You placed %(athlete)s at %(drill)s"),
        lambda: _("%(who)s placed %(athlete)s at %(drill)s"),
    ),
    Kind.SETTLED: (
        lambda: _("You called %(drill)s settled for %(athlete)s"),
        lambda: _("%(who)s called %(drill)s settled for %(athlete)s"),
    ),
    Kind.KEEP_ON: (
        lambda: _("You kept %(athlete)s on at %(drill)s"),
        lambda: _("%(who)s kept %(athlete)s on at %(drill)s"),
    ),
    Kind.EASIER_DRILL: (
        lambda: _("You gave %(athlete)s an easier drill than %(drill)s"),
        lambda: _("%(who)s gave %(athlete)s an easier drill than %(drill)s"),
    ),
    Kind.START_OVER: (
        lambda: _("You started %(drill)s over for %(athlete)s"),
        lambda: _("%(who)s started %(drill)s over for %(athlete)s"),
    ),
}


def decided_sentence(decision: Decision, mine: bool, zone: str) -> str:
    """ "You opened Wall plant for Nandi K. at 9:42, with the advice (13 of the last 15 good, likely range …)." """
    yours, theirs = _SAID[Kind(decision.kind)]
    who = decision.by.given_name if decision.by else _("Somebody who is no longer here")
    said = (yours if mine else theirs)() % {
        "who": who,
        "drill": decision.drill.name,
        "athlete": str(decision.athlete),
    }
    at = time_format(decision.at.astimezone(ZoneInfo(zone)), "H:i")
    return _("%(said)s at %(at)s%(side)s (%(figures)s).") % {
        "said": said,
        "at": at,
        "side": _after_comma(side_words(decision)),
        "figures": figures_words(decision.figures),
    }


def _after_comma(words: str) -> str:
    return f", {words}" if words else ""


def title_words(decision: Decision) -> str:
    """The act alone, as the line of a decision begins."""
    return {
        Kind.TOUCH: _("Opened"),
        Kind.PLACE: _("Placed"),
        Kind.SETTLED: _("Settled"),
        Kind.KEEP_ON: _("Kept on"),
        Kind.EASIER_DRILL: _("Easier drill"),
        Kind.START_OVER: _("Started over"),
    }[Kind(decision.kind)]


def side_words(decision: Decision) -> str:
    if decision.side == Decision.Side.WITH:
        return _("with the advice")
    if decision.side == Decision.Side.AGAINST:
        return _("against the advice to keep on") if decision.advice == "keep on" else _("against the advice")
    return ""


def figures_words(figures: Mapping[str, Any]) -> str:
    """ "13 of the last 15 good, likely range 65 % to 90 %"; of what a contact drill rests on where it has no reps."""
    parts = []
    lately = figures.get("lately")
    if lately and lately.get("counted"):
        parts.append(_("%(share)s good of late") % {"share": share_of(lately["good"], lately["counted"])})
    if figures.get("reps"):
        ends = {"low": low_percent(figures["low"]), "high": high_percent(figures["high"])}
        parts.append(_("likely range %(low)s to %(high)s") % ends)
    if not parts:
        parts = [
            _("%(need)s: low end %(low)s") % {"need": need["name"], "low": low_percent(need["low"])}
            for need in figures.get("needs", ())
            if need["n"]
        ]
    return ", ".join(parts) or _("no rep counted yet")


def line_words(decision: Decision) -> str:
    """Who, with or against the advice, on which figures: what follows the act in a list of decisions."""
    who = decision.by.given_name if decision.by else _("Somebody who is no longer here")
    values = {"who": who, "side": _after_comma(side_words(decision)), "figures": figures_words(decision.figures)}
    return _("%(who)s%(side)s: %(figures)s.") % values


def standing_words(stand: Stand) -> str:
    """Where they stand, and who or what made it so."""
    since = day_words(stand.since) if stand.since else ""
    if stand.state is Standing.NOT_OPEN:
        return _("Not open yet.")
    if stand.state is Standing.CLOSED_AGAIN:
        return _("Closed again on %(day)s: %(why)s.") % {"day": since, "why": closed_words(stand.closed_by)}
    if stand.state is Standing.SETTLED:
        by = _("by the coach") if stand.settled_by == "coach" else _("by figures")
        return _("Settled %(by)s since %(day)s.") % {"by": by, "day": since}
    if not stand.opened_by or stand.opened_by == OpenedBy.NO_NEEDS.value:
        return _("Open to everybody.")
    return _("Open since %(day)s, %(how)s.") % {"day": since, "how": opened_words(stand.opened_by)}


def opened_words(opened_by: str) -> str:
    return {
        OpenedBy.FIGURES.value: _("by figures"),
        OpenedBy.TOUCH.value: _("by the head coach"),
        OpenedBy.CONTACT_TOUCH.value: _("by the head coach"),
        OpenedBy.PLACEMENT.value: _("placed there by the head coach"),
    }.get(opened_by, _("it has no needs"))


def closed_words(closed_by: str) -> str:
    return {
        ClosedBy.WARM_UP_CHECK.value: _("two bad of the first three reps in the warm-up check"),
        ClosedBy.UNSAFE_REP.value: _("an unsafe rep"),
        ClosedBy.EASIER_DRILL.value: _("an easier drill was chosen"),
        ClosedBy.START_OVER.value: _("it was started over"),
        ClosedBy.BELOW.value: _("what it rests on closed"),
    }.get(closed_by, _("its risk class was raised"))


def lacking_words(stand: Stand, names: Mapping[str, str], settings: Settings) -> list[str]:
    """What is still lacking, need by need; names: of drills by key."""
    return [
        _lack(Lack(lack), names.get(need["need"], need["need"]), need, settings)
        for need in stand.lacking
        for lack in need["lacks"]
    ]


def _lack(lack: Lack, name: str, need: Mapping[str, Any], settings: Settings) -> str:
    recent = need["recent"][-settings.floor_last :]
    said = {
        Lack.NOT_OPEN: _("%(need)s is not open"),
        Lack.TOO_LITTLE_SEEN: _("%(need)s: too little seen"),
        Lack.TOO_FEW_GOOD: _("%(need)s: %(good)d of the last %(of)d good, %(asked)d are asked for"),
        Lack.LAST_BAD: _("%(need)s: the last rep was not good"),
        Lack.LOW_END_LOW: _("%(need)s: the low end, %(low)s, is under %(line)s"),
        Lack.NOT_SETTLED: _("%(need)s is not settled by figures"),
        Lack.UNSAFE_LATELY: _("%(need)s: an unsafe rep, with fewer than %(window)d counted ones since"),
    }[lack]
    return said % {
        "need": name,
        "good": recent.count("1"),
        "of": len(recent),
        "asked": settings.floor_good,
        "low": low_percent(need["low"]),
        "line": low_percent(settings.moving_low),
        "window": settings.unsafe_window,
    }


def lacks_sentence(parts: Iterable[str]) -> str:
    said = "; ".join(parts)
    return _("Lacking: %(what)s.") % {"what": said} if said else ""


def ask_sentence(stand: Stand, names: Mapping[str, str]) -> str:
    """What the head coach is asked on: the figures of what the contact drill rests on."""
    parts = [
        _("%(need)s is settled by figures (low end %(low)s, weight of %(reps)s)")
        % {
            "need": names.get(need["need"], need["need"]),
            "low": low_percent(need["low"]),
            "reps": glued(
                ngettext("%(n)d recent rep", "%(n)d recent reps", round(need["n"])) % {"n": round(need["n"])}
            ),
        }
        for need in stand.lacking
    ]
    return _("%(needs)s. Nothing is lacking but your touch; it is asked for each time.") % {"needs": "; ".join(parts)}


def notice_sentence(notice: Notice) -> str:
    values = {"drill": notice.drill.name, "day": day_words(notice.day)}
    if notice.kind == Notice.Kind.OPENING_LOST:
        said = _("%(drill)s, opened on %(day)s, is not open any more: a late or corrected rep took the opening away.")
    elif notice.kind == Notice.Kind.TOUCH_REFUSED:
        said = _("Your touch of %(day)s opened nothing at %(drill)s: reps that came in later spoke against it.")
    else:
        said = _("Reps of %(day)s at %(drill)s, a contact drill that was not open. They were kept.")
    return said % values


def time_words(at: datetime, zone: str) -> str:
    return time_format(at.astimezone(ZoneInfo(zone)), "H:i")


def grounds_words(figures: Mapping[str, Any]) -> list[str]:
    """What stood for and against it at that moment: the reps, and each need with what it lacked."""
    found = []
    recent = figures.get("recent", "")
    if recent:
        good = share_of(recent.count("1"), len(recent))
        found.append(_("last counted reps: %(share)s good") % {"share": good})
    if figures.get("since_unsafe") is not None:
        n = figures["since_unsafe"]
        found.append(
            ngettext("an unsafe rep %(n)d counted rep before", "an unsafe rep %(n)d counted reps before", n) % {"n": n}
        )
    for need in figures.get("needs", ()):
        lacks = [_lack(Lack(lack), need.get("name", need["need"]), need, SETTINGS) for lack in need["lacks"]]
        found += lacks or [_("%(need)s: nothing lacking") % {"need": need.get("name", need["need"])}]
    return found
