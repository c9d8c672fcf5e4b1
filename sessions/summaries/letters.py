"""A summary as a mail: the same words as its page, before and now as blocks, and the way there for the run strip."""

from django.urls import reverse
from django.utils.translation import gettext as _

from club.mail.letters import Blocks, Letter, Part
from sessions.summaries import words
from sessions.summaries.queries.reading import Shown


def letter(shown: Shown) -> Letter:
    """In the active language."""
    parts: list[Part] = []
    for part in shown.parts:
        first, *rest = part.paragraphs or ("",)
        parts.append(Part(heading=part.heading, text=first, items=part.listed))
        parts += [Part(text=one) for one in rest]
        if part.compared:
            parts.append(_blocks(part.compared))
    parts += [Part(text=words.home_words()), Part(text=words.rules_words())]
    row = shown.row
    link = reverse("summary", kwargs={"club": row.club.slug, "summary": row.pk})
    return Letter(shown.title, tuple(parts), link, _("With pictures, and to print"))


def _blocks(compared: words.Compared) -> Part:
    pictured = tuple(Blocks(row.when, _lines(row, compared.per_row)) for row in compared.rows)
    return Part(pictured=pictured, caption=words.blocks_words())


def _lines(row: words.Tries, per_row: int) -> tuple[str, ...]:
    signs = "■" * row.good + "□" * (row.watched - row.good)
    return tuple(signs[start : start + per_row] for start in range(0, len(signs), per_row))
