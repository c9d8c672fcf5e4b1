"""Template tags that draw the look: SVG with attributes only, always with words or hidden beside words."""

from collections.abc import Iterable
from typing import cast

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from club.core import marks
from club.core import range_bar as bars
from club.core import run_strip as strips
from club.core.range_bar import Advice
from club.core.svg import Drawing

register = template.Library()
NBSP = "\N{NO-BREAK SPACE}"


def _svg(drawing: Drawing, label: str = "") -> SafeString:
    # Safe: Drawing.markup escapes every value itself.
    return mark_safe(drawing.markup(label))


@register.simple_tag(name="run_strip")
def run_strip(
    size: str = "small",
    hand: str = "right",
    *,
    lit: strips.Places = "",
    flag: strips.Places = "",
    off: strips.Places = "",
    steps: int = 6,
    end: str = "box",
    label: str = "",
) -> SafeString:
    """The run strip. size: mark, glyph, small, medium, phone, still, drill, wide or tablet.

    lit, flag, off: places, "6" to "1", "carry", "contact", "drop", "plant". steps: of the run; those beyond are dashed.
    Without a label it is hidden from screen readers: use that only beside words that say the same.
    """
    spec = strips.StripSpec(
        size=strips.SIZES[size],
        hand=cast(strips.Hand, hand or "right"),
        lit=frozenset(strips.places_of(lit)),
        off=frozenset(strips.places_of(off)) | strips.places_beyond(steps),
        flags=strips.places_of(flag),
        end=cast(strips.End, end or "box"),
    )
    return _svg(strips.run_strip(spec), label)


def _percent(share: float) -> int:
    return round(share * 100)


def _range_words(spec: bars.BarSpec) -> str:
    return _("%(advice)s: likely range %(low)d to %(high)d %%, estimate %(estimate)d %%") % {
        "advice": advice_words(spec.advice),
        "low": _percent(spec.low),
        "high": _percent(spec.high),
        "estimate": _percent(spec.estimate),
    }


@register.simple_tag(name="range_bar")
def range_bar(
    advice: str,
    low: float | None = None,
    estimate: float | None = None,
    high: float | None = None,
    *,
    size: str = "bar",
    settle_at: float = 0.65,
    easier_at: float = 0.50,
    label: str | None = None,
) -> SafeString:
    """The range bar; shares 0 to 1. size: bar, row, phone, cell or key. Words instead of a bar before the first rep.

    label: None gives advice, range and estimate; "" hides the bar from screen readers, for use beside those words.
    """
    said = Advice.of(advice)
    if said is Advice.NO_REPS_YET or low is None or estimate is None or high is None:
        return verdict(Advice.NO_REPS_YET) if label is None else SafeString("")
    spec = bars.BarSpec(bars.SIZES[size], said, low, estimate, high, settle_at, easier_at)
    drawing = bars.range_bar(spec)
    assert drawing is not None
    return _svg(drawing, _range_words(spec) if label is None else label)


def advice_words(advice: str) -> str:
    """The advice as it stands on pages."""
    return {
        Advice.SETTLED: _("Settled"),
        Advice.KEEP_ON: _("Keep on"),
        Advice.EASIER_DRILL: _("Easier drill"),
        Advice.NO_REPS_YET: _("No reps yet"),
        Advice.TOO_LITTLE_SEEN: _("Too little seen"),
    }[Advice.of(advice)]


@register.simple_tag(name="verdict")
def verdict(advice: str, words: str = "") -> SafeString:
    """The pole with its words; words replace the advice's own, as where the coach's act is named ("Move on")."""
    return format_html(
        '<span class="verdict">{}{}</span>', _svg(marks.pole(Advice.of(advice))), words or advice_words(advice)
    )


@register.simple_tag(name="rep_dots")
def rep_dots(reps: Iterable[str], size: str = "small", *, per_row: int = 12, label: str = "") -> SafeString:
    """Reps in order of time: "good", "faulty" or "not watched" each. Nothing where there are none."""
    seen = [marks.RepMark.of(rep) for rep in reps]
    if not seen:
        return SafeString("")
    return _svg(marks.rep_dots(seen, marks.DOT_SIZES[size], per_row), label or _reps_words(seen))


def _reps_words(seen: list[marks.RepMark]) -> str:
    words = {
        marks.RepMark.GOOD: pgettext("rep", "good"),
        marks.RepMark.FAULTY: pgettext("rep", "faulty"),
        marks.RepMark.NOT_WATCHED: pgettext("rep", "not watched"),
    }
    return ngettext("%(count)d rep: %(reps)s", "%(count)d reps in order: %(reps)s", len(seen)) % {
        "count": len(seen),
        "reps": ", ".join(words[mark] for mark in seen),
    }


@register.simple_tag(name="attendance_blocks")
def attendance_blocks(came: Iterable[bool], size: str = "small", *, label: str = "") -> SafeString:
    """Practices in order of time, newest last: true where they came. Nothing where there are none."""
    there = [bool(one) for one in came]
    if not there:
        return SafeString("")
    said = ngettext(
        "Came to %(came)d of the last %(count)d practice, newest on the right",
        "Came to %(came)d of the last %(count)d practices, newest on the right",
        len(there),
    ) % {"came": sum(there), "count": len(there)}
    return _svg(marks.attendance_blocks(there, marks.BLOCK_SIZES[size]), label or said)


@register.simple_tag(name="tries")
def tries(good: int, watched: int, per_row: int, phase: str = "", *, label: str = "") -> SafeString:
    """A block for each try, the good ones filled; hidden from screen readers where it has no label."""
    return _svg(marks.tries(good, watched, per_row, phase), label)


@register.simple_tag(name="sync_mark")
def sync_mark(state: str, count: int) -> SafeString:
    """Where reps are safe, always with count and words. state: tablet, server or look."""
    said = marks.SyncState(state)
    words = {
        marks.SyncState.TABLET: ngettext("%(count)d on the tablet", "%(count)d on the tablet", count),
        marks.SyncState.SERVER: ngettext("%(count)d on the server", "%(count)d on the server", count),
        marks.SyncState.LOOK: ngettext("%(count)d needs a look", "%(count)d need a look", count),
    }[said] % {"count": count}
    return format_html('<span class="syncmark">{}<span>{}</span></span>', _svg(marks.sync_mark(said)), words)


@register.filter
def percent(share: float) -> str:
    """A share as "65 %", its blank unbreakable."""
    return f"{_percent(share)}{NBSP}%"


@register.simple_tag
def out_of(part: int, whole: int) -> str:
    """Counts as "13 of 15", their blanks unbreakable."""
    return (_("%(part)d of %(whole)d") % {"part": part, "whole": whole}).replace(" ", NBSP)
