"""A summary as a mail: the same words as its page, and the way there for the picture."""

from django.urls import reverse
from django.utils.translation import gettext as _

from club.mail.letters import Letter, Part
from sessions.summaries import words
from sessions.summaries.queries.reading import Shown


def letter(shown: Shown) -> Letter:
    """In the active language."""
    parts: list[Part] = []
    for part in shown.parts:
        first, *rest = part.paragraphs or ("",)
        parts.append(Part(heading=part.heading, text=first, items=part.listed))
        parts += [Part(text=one) for one in rest]
    parts += [Part(text=words.home_words()), Part(text=words.rules_words())]
    row = shown.row
    link = reverse("summary", kwargs={"club": row.club.slug, "summary": row.pk})
    return Letter(shown.title, tuple(parts), link, _("With pictures, and to print"))
