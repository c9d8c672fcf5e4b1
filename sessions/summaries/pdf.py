"""A summary on one sheet of A4 (fpdf2), in the face of the pages, with the pictures as lines and surfaces."""

from pathlib import Path

from django.utils.translation import get_language
from django.utils.translation import gettext as _
from fpdf import FPDF
from fpdf.enums import XPos, YPos

from club.core import marks
from club.core.run_strip import SIZES, Place, RunStrip, StripSpec
from club.core.svg import Drawing, Shape
from sessions.summaries import words
from sessions.summaries.queries.reading import Shown

FONTS = Path(__file__).parent / "fonts"
FACE = "Atkinson"
MARGIN_MM, TEXT_MM = 22.0, 166.0
TITLE_PT, HEAD_PT, TEXT_PT, SMALL_PT = 20, 13, 11, 9
LINE = 1.45
STRIP_MM = 92.0
WHEN_MM, BLOCKS_MM = 44.0, 92.0
# The paper's tokens: css/tokens.css, light.
INK, INK_2, MIST, LINE_GREY = (18, 32, 30), (70, 85, 81), (223, 231, 227), (185, 198, 192)
FILLS = {
    "c": MIST,
    "c on": INK_2,
    "d": (188, 217, 232),
    "d on": (10, 95, 138),
    "p": (245, 205, 184),
    "p on": (178, 60, 16),
}


class Sheet(FPDF):
    """A4, black on white, with the club's name at the foot."""

    def __init__(self, club: str) -> None:
        super().__init__(format="A4")
        self.club = club
        self.c_margin = 0  # words begin where lines do
        self.set_margins(MARGIN_MM, MARGIN_MM, MARGIN_MM)
        self.set_auto_page_break(auto=True, margin=MARGIN_MM)
        self.add_font(FACE, "", FONTS / "atkinson-hyperlegible-next-regular.ttf")
        self.add_font(FACE, "B", FONTS / "atkinson-hyperlegible-next-bold.ttf")
        self.set_lang(get_language() or "en")
        self.add_page()

    def footer(self) -> None:
        self.set_y(-15)
        self.set_font(FACE, "", SMALL_PT)
        self.set_text_color(*INK_2)
        self.cell(0, 6, self.club)

    def write_lines(
        self, text: str, size_pt: float, style: str = "", above_mm: float = 0.0, grey: bool = False
    ) -> None:
        """A paragraph over the whole width."""
        self.ln(above_mm)
        self.set_font(FACE, style, size_pt)
        self.set_text_color(*(INK_2 if grey else INK))
        height = size_pt * LINE * 25.4 / 72
        self.multi_cell(TEXT_MM, height, text, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)


def sheet(shown: Shown) -> bytes:
    """The summary as a PDF, in the active language."""
    page = Sheet(shown.row.club.name)
    page.set_title(shown.title)
    page.write_lines(shown.title, TITLE_PT, "B")
    if shown.row.approved_by:
        said = _("Read and approved by %(who)s.") % {"who": shown.row.approved_by.given_name}
        page.write_lines(said, SMALL_PT, above_mm=1, grey=True)
    for part in shown.parts:
        _part(page, part)
    _safety(page)
    return bytes(page.output())


def _part(page: Sheet, part: words.Part) -> None:
    page.ln(4)
    page.set_draw_color(*LINE_GREY)
    page.line(MARGIN_MM, page.get_y(), MARGIN_MM + TEXT_MM, page.get_y())
    page.write_lines(part.heading, HEAD_PT, "B", above_mm=2)
    for paragraph in part.paragraphs:
        page.write_lines(paragraph, TEXT_PT, above_mm=1)
    for one in part.listed:
        page.write_lines(f"–  {one}", TEXT_PT, above_mm=0.5)
    if part.picture:
        _picture(page, part.picture)
    if part.compared:
        _compared(page, part.compared)


def _picture(page: Sheet, picture: words.Picture) -> None:
    """The strip, with its label below it: paper has no hidden text."""
    spec = StripSpec(SIZES["phone"], picture.hand, _places(picture.lit), flags=tuple(_places(picture.flag)))
    laid, strip = RunStrip(spec), RunStrip(spec).drawing()
    scale = STRIP_MM / strip.width
    high = (laid.spec.size.ground_y + laid.spec.size.box_deep + laid.spec.size.line_down) * scale
    if page.get_y() + high + 12 > page.h - MARGIN_MM:
        page.add_page()
    _draw(page, strip, MARGIN_MM, page.get_y() + 2, scale)
    _flags(page, laid, MARGIN_MM, page.get_y() + 2, scale)
    page.set_y(page.get_y() + high + 4)
    page.write_lines(picture.label, SMALL_PT, grey=True)


def _compared(page: Sheet, compared: words.Compared) -> None:
    """Before and now, each beside its words, with what a block means below."""
    drawn = [(row, marks.tries(row.good, row.watched, compared.per_row, compared.phase)) for row in compared.rows]
    scale, page_left = BLOCKS_MM / marks.TRIES_WIDE, page.h - MARGIN_MM - page.get_y()
    if sum(drawing.height * scale + 2 for _row, drawing in drawn) + 8 > page_left:
        page.add_page()
    for row, drawing in drawn:
        top = page.get_y() + 2
        page.set_font(FACE, "", TEXT_PT)
        page.set_text_color(*INK)
        page.set_xy(MARGIN_MM, top)
        page.cell(WHEN_MM, max(5, drawing.height * scale), row.when)
        _blocks(page, drawing, MARGIN_MM + WHEN_MM, top, scale, FILLS.get(f"{compared.phase[:1]} on", INK))
        page.set_y(top + max(5, drawing.height * scale))
    page.write_lines(words.blocks_words(), SMALL_PT, above_mm=1, grey=True)


def _blocks(page: Sheet, drawing: Drawing, left: float, top: float, scale: float, hue: tuple[int, int, int]) -> None:
    page.set_fill_color(*hue)
    page.set_draw_color(*hue)
    for shape in drawing.shapes:
        x, y, wide, high = (float(shape.attr(name)) * scale for name in ("x", "y", "width", "height"))
        page.rect(left + x, top + y, wide, high, style="DF" if shape.attr("class") == "good" else "D")


def _places(said: str) -> frozenset[Place]:
    return frozenset(int(one) if one.isdigit() else one for one in said.split())  # type: ignore[misc]


def _draw(page: Sheet, strip: Drawing, left: float, top: float, scale: float) -> None:
    """Cells, flag, hand and ground lines. Soles and numbers are for whoever runs, not for this reader."""
    for shape in strip.shapes:
        fill = FILLS.get(shape.attr("class"))
        if shape.tag == "polygon" and fill:
            page.set_fill_color(*fill)
            page.polygon(_corners(shape, left, top, scale), style="F")
        elif shape.tag == "rect" and fill:
            x, y, wide, high = (float(shape.attr(name)) * scale for name in ("x", "y", "width", "height"))
            page.set_fill_color(*fill)
            page.rect(left + x, top + y, wide, high, style="F")
        elif shape.tag == "polyline":
            page.set_draw_color(*INK)
            page.polyline(_corners(shape, left, top, scale))
    _ground(page, strip, left, top, scale)


def _corners(shape: Shape, left: float, top: float, scale: float) -> list[tuple[float, float]]:
    pairs = (pair.split(",") for pair in shape.attr("points").split())
    return [(left + float(x) * scale, top + float(y) * scale) for x, y in pairs]


def _ground(page: Sheet, strip: Drawing, left: float, top: float, scale: float) -> None:
    size = SIZES["phone"]
    y = top + (size.ground_y + size.line_down) * scale
    page.set_draw_color(*INK)
    page.line(left, y, left + strip.width * scale, y)


def _flags(page: Sheet, laid: RunStrip, left: float, top: float, scale: float) -> None:
    """An ink triangle, point down, over the step it is about; the box filled where that is the contact."""
    page.set_fill_color(*INK)
    for place in laid.spec.flags:
        x, y = laid.middle_x(place), laid.top_y(place)
        corners = ((x - 5, y - 11), (x + 5, y - 11), (x, y - 3))
        page.polygon([(left + a * scale, top + b * scale) for a, b in corners], style="F")
    if "contact" in laid.spec.lit:
        size, middle = laid.spec.size, laid.middle_x("contact")
        wide, y = size.box_long_u * laid.u / 2, size.ground_y + size.line_down
        corners = ((middle - wide, y), (middle + wide, y + size.box_deep), (middle + wide, y))
        page.polygon([(left + a * scale, top + b * scale) for a, b in corners], style="F")


def _safety(page: Sheet) -> None:
    page.ln(4)
    page.set_draw_color(*INK)
    page.line(MARGIN_MM, page.get_y(), MARGIN_MM + TEXT_MM, page.get_y())
    page.write_lines(words.home_words(), TEXT_PT, "B", above_mm=2)
    page.write_lines(words.rules_words(), SMALL_PT, above_mm=0.5)
