"""Sentences of the boards. Pure apart from the reader's language: figures in, words out.

Counts and shares keep their blanks unbreakable, so that "13 of 15" and "65 %" never fall apart at the end of a line.
"""

import math
import re
from collections.abc import Sequence
from datetime import date, time

from django.utils.formats import date_format, time_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from athletes.core.readiness import AdviceReason, Advised, Reading, Settings
from athletes.words import until_words
from club.core.marks import RepMark
from club.core.run_strip import Hand
from sessions.boards.core import CellState, Figures, Plan, RecentReps, WeekFigures

NBSP = "\N{NO-BREAK SPACE}"


def listed(parts: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"; empty for none."""
    if len(parts) < 2:
        return "".join(parts)
    return _("%(first)s and %(last)s") % {"first": ", ".join(parts[:-1]), "last": parts[-1]}


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def share_of(part: int, whole: int) -> str:
    return (_("%(part)d of %(whole)d") % {"part": part, "whole": whole}).replace(" ", NBSP)


def glued(text: str) -> str:
    """Every number stays with the word after it."""
    return re.sub(r"(?<=\d) ", NBSP, text)


def low_percent(share: float) -> str:
    """Rounded down: a low end just under a line must not read as if it were on it."""
    return f"{math.floor(share * 100 + 1e-9)}{NBSP}%"


def high_percent(share: float) -> str:
    """Rounded up, for the same reason."""
    return f"{math.ceil(share * 100 - 1e-9)}{NBSP}%"


def range_words(reading: Reading | Figures) -> str:
    return _("likely range %(low)s to %(high)s") % {
        "low": low_percent(reading.low),
        "high": high_percent(reading.high),
    }


# Days


def day_words(day: date) -> str:
    """ "Wed 25 November". The year goes without saying on pages about now."""
    return date_format(day, _("D j F"))


def week_words(days: Sequence[date]) -> str:
    first, last = days[0], days[-1]
    if first.month == last.month:
        return _("%(first)d to %(last)s") % {"first": first.day, "last": date_format(last, _("j F"))}
    return _("%(first)s to %(last)s") % {
        "first": date_format(first, _("j F")),
        "last": date_format(last, _("j F")),
    }


def ago_words(day: date, today: date) -> str:
    days = (today - day).days
    if days <= 0:
        return _("today")
    return _("yesterday") if days == 1 else ngettext("%(days)d day ago", "%(days)d days ago", days) % {"days": days}


# The week page


def _plan_words(plan: Plan, n: int) -> str:
    words = {
        Plan.HELD: ngettext("%(n)d held", "%(n)d held", n),
        Plan.NOT_HELD: ngettext("%(n)d not held", "%(n)d not held", n),
        Plan.PUBLISHED: ngettext("%(n)d published", "%(n)d published", n),
        Plan.DRAFT: ngettext("%(n)d draft", "%(n)d drafts", n),
        Plan.NO_PLAN: ngettext("%(n)d without a plan", "%(n)d without a plan", n),
        Plan.CANCELLED: ngettext("%(n)d cancelled", "%(n)d cancelled", n),
    }
    return words[plan] % {"n": n}


def _only_plan_words(plan: Plan) -> str:
    return {
        Plan.HELD: pgettext("the one practice of a week", "held"),
        Plan.NOT_HELD: pgettext("the one practice of a week", "not held"),
        Plan.PUBLISHED: pgettext("the one practice of a week", "published"),
        Plan.DRAFT: pgettext("the one practice of a week", "a draft"),
        Plan.NO_PLAN: pgettext("the one practice of a week", "without a plan"),
        Plan.CANCELLED: pgettext("the one practice of a week", "cancelled"),
    }[plan]


def where_words(squads: Sequence[str], venue: str) -> str:
    """ "Swifts and Terns at Quarry Track"; the venue alone where no squad is named."""
    return _("%(squads)s at %(venue)s") % {"squads": listed(squads), "venue": venue} if squads else venue


def plan_name(plan: Plan) -> str:
    return {
        Plan.HELD: _("Held"),
        Plan.NOT_HELD: _("Not held"),
        Plan.PUBLISHED: _("Published"),
        Plan.DRAFT: _("Draft"),
        Plan.NO_PLAN: _("No plan yet"),
        Plan.CANCELLED: _("Cancelled"),
    }[plan]


def practices_sentence(figures: WeekFigures) -> str:
    """ "4 practices, 1 of them today: 1 held, 1 published, 2 without a plan."; "1 practice, today: published." """
    n = figures.practices
    if not n:
        return _("No practice this week.")
    there = [plan for plan in Plan if figures.plans.get(plan)]
    if n == 1:
        lead = _("1 practice, today: %(kind)s.") if figures.today else _("1 practice: %(kind)s.")
        return lead % {"kind": _only_plan_words(there[0])}
    parts = [_plan_words(plan, figures.plans[plan]) for plan in there]
    count = ngettext("%(n)d practice", "%(n)d practices", n) % {"n": n}
    if figures.today:
        today = ngettext("%(n)d of them today", "%(n)d of them today", figures.today) % {"n": figures.today}
        count = f"{count}, {today}"
    return _("%(practices)s: %(kinds)s.") % {"practices": count, "kinds": ", ".join(parts)}


def waiting_sentence(figures: WeekFigures) -> str:
    """What the reps advise and who is missing; empty where there is nothing of either."""
    parts = []
    if figures.ahead:
        parts.append(
            ngettext("%(n)d drill is settled and leads on", "%(n)d drills are settled and lead on", figures.ahead)
            % {"n": figures.ahead}
        )
    if figures.easier:
        parts.append(
            ngettext("%(n)d drill speaks for an easier one", "%(n)d drills speak for an easier one", figures.easier)
            % {"n": figures.easier}
        )
    if figures.worth_a_look:
        parts.append(
            ngettext("%(n)d thing is worth a look", "%(n)d things are worth a look", figures.worth_a_look)
            % {"n": figures.worth_a_look}
        )
    if figures.away:
        parts.append(
            ngettext(
                "%(n)d vaulter has not been seen for ten days or more",
                "%(n)d vaulters have not been seen for ten days or more",
                figures.away,
            )
            % {"n": figures.away}
        )
    return f"{', '.join(parts)}." if parts else ""


def came_words(came: int, expected: int) -> str:
    return _("%(share)s came") % {"share": share_of(came, expected)}


def no_roll_words() -> str:
    return _("who came was not noted")


def expected_words(expected: int) -> str:
    return ngettext("%(n)d expected", "%(n)d expected", expected) % {"n": expected}


def logged_words(done: int) -> str:
    if not done:
        return _("No rep logged")
    return ngettext("%(n)d rep logged", "%(n)d reps logged", done) % {"n": done}


def away_words(days: int | None, looked_back: int = 0) -> str:
    """days: None if not seen. looked_back: over how many days that was looked for, 0 if over all since they joined."""
    if days is None and looked_back:
        return ngettext("longer than %(days)d day", "longer than %(days)d days", looked_back) % {"days": looked_back}
    if days is None:
        return _("not seen yet")
    return ngettext("%(days)d day", "%(days)d days", days) % {"days": days}


# Readiness


def recent_sentence(recent: RecentReps) -> str:
    """ "Good in 13 of the last 15 reps on 4 days." """
    if not recent.counted:
        return _("No rep has counted yet.")
    reps = ngettext("%(good)d of the last %(counted)d rep", "%(good)d of the last %(counted)d reps", recent.counted) % {
        "good": recent.good,
        "counted": recent.counted,
    }
    on = ngettext("on %(days)d day", "on %(days)d days", recent.days) % {"days": recent.days}
    return _("Good in %(reps)s %(on)s.") % {"reps": glued(reps), "on": glued(on)}


def advice_name(state: CellState) -> str:
    return {
        CellState.UNTRIED: _("not open yet"),
        CellState.NO_REPS: _("open, no reps counted yet"),
        CellState.TOO_LITTLE_SEEN: _("too little seen"),
        CellState.KEEP_ON: _("keep on"),
        CellState.EASIER_DRILL: _("easier drill"),
        CellState.AHEAD: _("settled, leads on"),
        CellState.SETTLED: _("settled"),
        CellState.HELD: _("held back by a restriction"),
    }[state]


def reason_sentence(advised: Advised, settings: Settings) -> str:
    """Why the figures advise what they advise."""
    reading = advised.reading
    figures = {
        "low": low_percent(reading.low),
        "high": high_percent(reading.high),
        "settled": low_percent(settings.settled_low),
        "easier": low_percent(settings.easier_high),
        "range": range_words(reading),
        "days": settings.advice_days,
        "reps": round(settings.advice_n),
    }
    words = {
        AdviceReason.NOTHING_COUNTED: _("Nothing was seen that counts, so there is no figure."),
        AdviceReason.TOO_LITTLE_SEEN: _(
            "Too little seen to say: advice asks for reps on %(days)d days, with the weight of %(reps)d recent ones."
        ),
        AdviceReason.HIGH_END_LOW: _("Even the high end of the likely range, %(high)s, is no higher than %(easier)s."),
        AdviceReason.BAD_REPS_PILED_UP: _("Bad reps have clearly piled up; %(range)s."),
        AdviceReason.LOW_END_HIGH: _("Even the low end of the likely range, %(low)s, reaches %(settled)s."),
        AdviceReason.BETWEEN: _between(reading, settings),
    }
    return words[advised.reason] % figures


def _between(reading: Reading, settings: Settings) -> str:
    if reading.low < settings.settled_low:
        return _("The low end of the likely range, %(low)s, is still under %(settled)s (%(range)s).")
    if not reading.last_good:
        return _("The low end of the likely range, %(low)s, reaches %(settled)s, but the last rep was not good.")
    return _("The low end of the likely range, %(low)s, reaches %(settled)s, but too few recent reps carry it.")


def unsafe_sentence(since_unsafe: int | None, window: int) -> str:
    """Said while the last unsafe rep is within the window; empty otherwise."""
    if since_unsafe is None or since_unsafe >= window:
        return ""
    if not since_unsafe:
        return _("The last rep that anybody judged was unsafe.")
    return ngettext("An unsafe rep, %(n)d counted rep ago.", "An unsafe rep, %(n)d counted reps ago.", since_unsafe) % {
        "n": since_unsafe
    }


def leads_sentence(drills: Sequence[str]) -> str:
    return _("Leads to %(drills)s.") % {"drills": listed(drills)} if drills else _("Leads to no other drill.")


# One athlete


def hand_sentence(hand: Hand) -> str:
    if hand == "right":
        return _("right-handed, takes off from the left foot")
    return _("left-handed, takes off from the right foot")


def watched_words(faulty: int, watched: int) -> str:
    """ "faulty in 3 of 12 watched"; nothing watched is said as such."""
    if not watched:
        return _("not watched")
    if not faulty:
        return ngettext("good in the one watched", "good in all %(n)d watched", watched) % {"n": watched}
    return _("faulty in %(share)s watched") % {"share": share_of(faulty, watched)}


def mark_words(mark: RepMark) -> str:
    return {
        RepMark.GOOD: pgettext("rep", "good"),
        RepMark.FAULTY: pgettext("rep", "faulty"),
        RepMark.NOT_WATCHED: pgettext("rep", "not watched"),
    }[mark]


def seen_words(n: int) -> str:
    return ngettext("seen once", "seen %(n)d times", n) % {"n": n}


def restriction_sentence(what: str, until: date | None, needs_clearance: bool, tells_why: bool) -> str:
    """ "Walking drills only, until 4 December." tells_why: to whoever may know of a head injury."""
    return _("%(what)s, %(until)s.") % {"what": what, "until": until_words(until, needs_clearance, tells_why)}


def reported_sentence(sentence: str) -> str:
    """What was reported and no coach has answered yet."""
    return _("%(sentence)s It was reported, and it binds until the head coach has answered.") % {"sentence": sentence}


def moment_words(day: date, starts: time, today: date) -> str:
    """ "Today, 17:00", "Friday 27 November, 17:00"."""
    at = time_format(starts, "H:i")
    when = _("Today") if day == today else date_format(day, _("l j F"))
    return _("%(when)s, %(at)s") % {"when": when, "at": at}


# The map of one athlete


def in_drill_title(state: str) -> str:
    """Heads those who are in a drill in that way."""
    return {
        "asked": _("Waiting for the head coach’s touch"),
        "in work": _("In work"),
        "settled": _("Settled"),
        "to begin": _("May begin"),
        "closed again": _("Closed again"),
    }[state]


def map_words(look: str) -> str:
    """Where the athlete stands at a drill, in two words at most."""
    return {
        "held": pgettext("athlete at a drill", "held back"),
        "shut": pgettext("athlete at a drill", "not open yet"),
        "closed": pgettext("athlete at a drill", "closed again"),
        "asked": pgettext("athlete at a drill", "wants a touch"),
        "begin": pgettext("athlete at a drill", "may begin"),
        "work": pgettext("athlete at a drill", "in work"),
        "settled": pgettext("athlete at a drill", "settled"),
    }[look]
