"""Words for what rises or falls, and for which fault leads to which. Counts before shares, never a bare percentage."""

from datetime import date
from math import inf

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sessions.boards.words import NBSP, capital, glued
from sessions.trends.core.rates import FEW
from sessions.trends.figures import Along, FoundLink, Links
from sessions.trends.models import Signal

MANY = 100.0
"""Odds beyond this are said as "more than"."""


def in_ten(share: float) -> str:
    """ "4 in 10"; less than half of one says so."""
    n = round(share * 10)
    if not n and share:
        return _("fewer than 1 in 10").replace(" ", NBSP)
    return (_("%(n)d in 10") % {"n": n}).replace(" ", NBSP)


def now_share(signal: Signal) -> float:
    return signal.faulty / signal.watched


def trend_words(one: Along) -> str:
    """Under a place of the strip, at most a few words."""
    if one.signal:
        kinds = {"rose": _("rose: %(before)s to %(now)s"), "fell": _("fell: %(before)s to %(now)s")}
        before, now = in_ten(one.signal.usual), in_ten(now_share(one.signal))
        return kinds[one.signal.direction] % {"before": before, "now": now}
    if one.usual is None:
        return _("too few to say")
    few = sum(week is not None and week.few for week in one.weeks)
    return _("steady, few watched") if few > len(one.weeks) // 2 else _("steady")


def signal_sentence(signal: Signal) -> str:
    """ "Rose from 2 in 10 to 5 in 10 since 12 November (32 reps watched)." """
    kinds = {
        "rose": _("faults rose from %(before)s to %(now)s since %(day)s (%(reps)s)."),
        "fell": _("faults fell from %(before)s to %(now)s since %(day)s (%(reps)s)."),
    }
    reps = ngettext("%(n)d rep watched", "%(n)d reps watched", signal.watched) % {"n": signal.watched}
    return kinds[signal.direction] % {
        "before": in_ten(signal.usual),
        "now": in_ten(now_share(signal)),
        "day": date_format(signal.since, _("j F")),
        "reps": glued(reps),
    }


def weeks_words(first: date, last: date) -> str:
    """ "5 October to 25 November"."""
    return _("%(first)s to %(last)s") % {
        "first": date_format(first, _("j F")),
        "last": date_format(last, _("j F")),
    }


# Which fault leads to which


def times(part: int, whole: int) -> str:
    """ "9 times in 11" """
    found = ngettext("%(part)d time in %(whole)d", "%(part)d times in %(whole)d", part) % {"part": part, "whole": whole}
    return found.replace(" ", NBSP)


def link_sentence(one: FoundLink) -> str:
    link = one.link
    return _("When %(earlier)s was faulty, %(later)s was too %(with_)s; otherwise %(without)s.") % {
        "earlier": one.earlier.name,
        "later": one.later.name,
        "with_": times(link.both, link.with_earlier),
        "without": times(link.later_only, link.without_earlier),
    }


def bracket_words(one: FoundLink) -> str:
    link = one.link
    return _("%(earlier)s faulty: %(later)s too %(both)d in %(with_)d. Otherwise %(only)d in %(without)d.") % {
        "earlier": capital(one.earlier.name),
        "later": one.later.name,
        "both": link.both,
        "with_": link.with_earlier,
        "only": link.later_only,
        "without": link.without_earlier,
    }


def mend_words(one: FoundLink) -> str:
    return _("Mend %(earlier)s first.") % {"earlier": one.earlier.name}


def link_grounds(one: FoundLink, links: Links) -> str:
    """What the sentence rests on."""
    link = one.link
    reps = ngettext("%(n)d rep", "%(n)d reps", link.with_earlier + link.without_earlier)
    days = ngettext("%(n)d day at one drill", "%(n)d days at one drill each", link.strata)
    said = [
        _("%(reps)s on which both were watched, %(days)s.")
        % {
            "reps": reps % {"n": link.with_earlier + link.without_earlier},
            "days": days % {"n": link.strata},
        },
        _odds(link.odds, link.interval.low, link.interval.high),
    ]
    if links.looked_at > 1:
        said.append(_("It stands out although %(n)d pairs were looked at.") % {"n": links.looked_at})
    if one.known:
        said.append(_("The catalogue knows this link too."))
    return glued(" ".join(said))


def _odds(odds: float, low: float, high: float) -> str:
    if odds == inf or high == inf:
        return _("The later fault never came without the earlier one.")
    figures = {"odds": _times_as_high(odds), "low": _times_as_high(low), "high": _times_as_high(high)}
    return _("Its odds were %(odds)s times as high, likely %(low)s to %(high)s.") % figures


def _times_as_high(odds: float) -> str:
    if odds > MANY:
        return _("more than %(n)d") % {"n": MANY}
    return f"{odds:.0f}" if odds >= 10 else f"{odds:.1f}"


def no_link_words(links: Links) -> str:
    if not links.looked_at:
        return _(
            "Not enough yet. It takes five days on which two places of the run were watched together and went both "
            "right and wrong."
        )
    return ngettext(
        "No link stands out in the %(n)d pair looked at.", "No link stands out in the %(n)d pairs looked at.",
        links.looked_at,
    ) % {"n": links.looked_at}  # fmt: skip


def few_words() -> str:
    return _("fewer than %(n)d reps watched") % {"n": FEW}
