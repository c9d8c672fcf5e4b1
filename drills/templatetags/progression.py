"""The progression map as SVG, with attributes only: stages, boxes that are links, lines, and each drill's glyph."""

from django import template
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from club.core.run_strip import SIZES, StripSpec, run_strip
from club.core.run_strip import places_of as places
from club.core.svg import px, shape
from drills.core.progress_map import BOX_HIGH, BOX_WIDE, HEAD, Box, Line, wrapped
from drills.queries import MapDrill, Progression
from drills.words import SHORT_RISKS

register = template.Library()

LETTERS, NAME_LINES, NAME_HIGH = 17, 3, 17
GLYPH = SIZES["glyph"]


@register.simple_tag(name="progress_map")
def progress_map(progression: Progression, slug: str, label: str) -> SafeString:
    """label: what the whole drawing is, for those who do not see it. The page has the same as a list."""
    drawing = progression.drawing
    boxes = format_html_join("", "{}", ((_box(progression.drills[box.drill], box, slug),) for box in drawing.boxes))
    heads = format_html_join("", "{}", ((_head(x, stage.number, stage.name),) for x, stage in zip(
        drawing.columns, progression.stages, strict=True)))  # fmt: skip
    lines = format_html_join("", "{}", ((_line(line),) for line in drawing.lines))
    return format_html(
        '<svg class="pmap" viewBox="0 0 {0} {1}" width="{0}" height="{1}" role="group" aria-label="{2}">{3}</svg>',
        px(drawing.width),
        px(drawing.height),
        label,
        heads + lines + boxes,
    )


def _safe(*shapes: object) -> SafeString:
    # Safe: Shape.markup escapes every value itself.
    return mark_safe("".join(one.markup() for one in shapes))  # type: ignore[attr-defined]


def _head(x: float, number: int, name: str) -> SafeString:
    said = wrapped(f"{number} {name}", LETTERS + 1, 1)[0]
    rule = shape("path", "rule", d=f"M{px(x)} {px(HEAD - 20)}h{px(BOX_WIDE)}")
    return _safe(shape("text", "stage-name", x=x, y=HEAD - 30, text=said), rule)


def _line(line: Line) -> SafeString:
    (x, y), (before_x, _before_y) = line.corners[-1], line.corners[-2]
    way = "".join(f"{'L' if at else 'M'}{px(a)} {px(b)}" for at, (a, b) in enumerate(line.corners))
    tip = f"M{px(x)} {px(y)}l-8 -4v8z" if before_x != x else f"M{px(x)} {px(y)}l-4 -8h8z"
    return _safe(shape("path", "need", d=way), shape("path", "tip", d=tip))


def _box(drill: MapDrill, box: Box, slug: str) -> SafeString:
    said = drill.state.words if drill.state else str(SHORT_RISKS[drill.risk])  # type: ignore[index]
    look = drill.state.look if drill.state else ""
    rect = shape("rect", f"box {look}".strip(), x=box.x, y=box.y, width=BOX_WIDE, height=BOX_HIGH, rx="3")
    names = [
        shape("text", "name", x=box.x + 9, y=box.y + 21 + n * NAME_HIGH, text=line)
        for n, line in enumerate(wrapped(drill.name, LETTERS, NAME_LINES))
    ]
    words = shape("text", "state", x=box.x + 9, y=box.foot - 10, text=said)
    return format_html(
        '<a href="{}" aria-label="{}">{}{}</a>',
        reverse("drill", args=[slug, drill.key]),
        _("%(drill)s, %(state)s") % {"drill": drill.name, "state": said},
        _safe(rect, *names, words),
        _glyph(drill, box.right - GLYPH.width - 8, box.foot - GLYPH.height - 8),
    )


def _glyph(drill: MapDrill, x: float, y: float) -> SafeString:
    drawing = run_strip(StripSpec(GLYPH, lit=frozenset(places(drill.lit))))
    inside = _safe(*drawing.shapes)
    return format_html('<g class="rs" transform="translate({} {})">{}</g>', px(x), px(y), inside)
