"""Paper: a PDF in the club's face, with nothing from another host. Lengths in mm, sizes of type in pt."""

from collections.abc import Sequence
from enum import StrEnum
from pathlib import Path

from fpdf import FPDF
from fpdf.enums import XPos, YPos

from club.core.svg import Drawing

FONTS = Path(__file__).parent / "static" / "club" / "vendor" / "print-fonts"
FACE, WIDER = "atkinson", "atkinson-wider"
MM_A_POINT = 25.4 / 72
LEADING = 1.22
"""Line height as a share of the type's size."""


class Paper(StrEnum):
    A4 = "a4"
    LETTER = "letter"


def new_pdf(paper: Paper, *, title: str, language: str, landscape: bool = False) -> FPDF:
    """One page, without margins of its own. Latin letters with all their accents; other scripts have no glyph."""
    pdf = FPDF(orientation="landscape" if landscape else "portrait", unit="mm", format=paper.value)
    for style, weight in (("", 400), ("B", 700)):
        pdf.add_font(FACE, style, FONTS / f"atkinson-hyperlegible-next-latin-{weight}-normal.woff")
        pdf.add_font(WIDER, style, FONTS / f"atkinson-hyperlegible-next-latin-ext-{weight}-normal.woff")
    pdf.set_fallback_fonts([WIDER])
    pdf.set_title(title)
    pdf.set_lang(language)
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.c_margin = 0
    pdf.add_page()
    return pdf


def line_mm(size: float) -> float:
    """Height of a line of type of that size."""
    return size * MM_A_POINT * LEADING


def wrapped(pdf: FPDF, text: str, width: float, size: float, style: str = "") -> list[str]:
    """The text in lines no wider than that; a word that is wider is broken."""
    pdf.set_font(FACE, style, size)
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if pdf.get_string_width(longer) <= width:
            line = longer
            continue
        lines += [line] if line else []
        *whole, line = _broken(pdf, word, width)
        lines += whole
    return [*lines, line] if line else lines


def _broken(pdf: FPDF, word: str, width: float) -> list[str]:
    parts = [""]
    for letter in word:
        if parts[-1] and pdf.get_string_width(parts[-1] + letter) > width:
            parts.append("")
        parts[-1] += letter
    return parts


def write(pdf: FPDF, lines: Sequence[str], x: float, y: float, size: float, style: str = "") -> float:
    """Writes lines from their top left corner; where the next one would begin."""
    pdf.set_font(FACE, style, size)
    for line in lines:
        pdf.set_xy(x, y)
        pdf.cell(pdf.get_string_width(line), line_mm(size), line, new_x=XPos.LEFT, new_y=YPos.NEXT)
        y += line_mm(size)
    return y


def draw(pdf: FPDF, drawing: Drawing, x: float, y: float, width: float) -> None:
    """A drawing's cells in black and white: lit ones are filled, the others outlined, those left out dashed."""
    scale = width / drawing.width
    for one in drawing.shapes:
        if one.tag == "rect":
            left, top, wide, high = (float(one.attr(name)) for name in ("x", "y", "width", "height"))
            corners = [(left, top), (left + wide, top), (left + wide, top + high), (left, top + high)]
        elif one.tag == "polygon":
            corners = [(float(at.split(",")[0]), float(at.split(",")[1])) for at in one.attr("points").split()]
        else:
            continue
        states = one.attr("class").split()
        with pdf.local_context(line_width=0.15, fill_color=60, draw_color=60):
            pdf.set_dash_pattern(dash=0.5, gap=0.5) if "off" in states else pdf.set_dash_pattern()
            places = [(x + left * scale, y + top * scale) for left, top in corners]
            pdf.polygon(places, style="F" if "on" in states else "D")
