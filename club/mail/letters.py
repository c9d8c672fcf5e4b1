"""What stands in a mail, once, for its plain text and its HTML: the two cannot say different things."""

from dataclasses import dataclass

from django.template.loader import render_to_string


@dataclass(frozen=True, slots=True)
class Blocks:
    """A picture of signs, for HTML alone and hidden from screen readers: the words beside it say the same figures."""

    label: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """A heading, a paragraph and a list; what is empty is left out. pictured: below them, with its own caption."""

    text: str = ""
    heading: str = ""
    items: tuple[str, ...] = ()
    pictured: tuple[Blocks, ...] = ()
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Letter:
    """link: path on the site to the page that says the same, and more."""

    title: str
    parts: tuple[Part, ...]
    link: str = ""
    link_words: str = ""


@dataclass(frozen=True, slots=True)
class Foot:
    """why: because of what one gets this. copied: who gets it too. stop: the address that ends mail of this kind."""

    why: str
    copied: str
    stop: str


def as_text(letter: Letter, foot: Foot, site: str) -> str:
    return render_to_string("club/mail.txt", {"letter": letter, "foot": foot, "site": site}).strip() + "\n"


def as_html(letter: Letter, foot: Foot, site: str, language: str) -> str:
    return render_to_string("club/mail.html", {"letter": letter, "foot": foot, "site": site, "language": language})
