"""What the columns of a roster mean: which row holds the headings, and what each heading probably stands for."""

import enum
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

Cell = str | Decimal | date | None
Row = tuple[Cell, ...]
GUARDIANS = 4
HEADER_SEARCH = 15


class What(enum.StrEnum):
    NAME = "name"
    GIVEN = "given"
    FAMILY = "family"
    BORN = "born"
    HAND = "hand"
    SQUADS = "squads"
    EMAIL = "email"
    PHONE = "phone"
    HEIGHT = "height"
    STANDING_REACH = "standing_reach"


OF_GUARDIANS = (What.NAME, What.GIVEN, What.FAMILY, What.EMAIL, What.PHONE)


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a column says, and of whom. guardian: 0 for the child, 1 to ``GUARDIANS`` for a guardian."""

    what: What
    guardian: int = 0

    @property
    def key(self) -> str:
        """As stored and posted: "born", "g1.phone"."""
        return f"g{self.guardian}.{self.what}" if self.guardian else str(self.what)


MEANINGS: tuple[Meaning, ...] = (
    *(Meaning(what) for what in What),
    *(Meaning(what, number) for number in range(1, GUARDIANS + 1) for what in OF_GUARDIANS),
)
BY_KEY: Mapping[str, Meaning] = {meaning.key: meaning for meaning in MEANINGS}

# Words of headings as coaches write them; the first row of this table that fits counts. English and German.
# A body mass is left out: it counts only with the day it was measured on, which a roster does not say.
_WORDS: tuple[tuple[What | None, str], ...] = (
    (What.EMAIL, "e-?mails?|mail"),
    (What.PHONE, "phone|telephone|mobile|cell|tel|telefon|handy|number|nummer"),
    (What.BORN, "birth|born|birthday|birthdate|dob|geburtsdatum|geburtstag|geboren|geb"),
    (What.GIVEN, "first|given|forename|vorname"),
    (What.FAMILY, "last|family|surname|nachname|familienname"),
    (What.HAND, "hand|handed|handedness|händigkeit"),
    (What.SQUADS, "squads?|groups?|teams?|gruppen?"),
    (What.STANDING_REACH, "reach|reichhöhe"),
    (What.HEIGHT, "height|grösse"),
    (None, "weight|mass|gewicht"),
    (What.NAME, "name|athlete|vaulter|child|student|kind|athletin"),
)
_FITS = tuple((what, re.compile(rf"(?<!\w)(?:{words})(?!\w)")) for what, words in _WORDS)
_GUARDIAN = re.compile(r"(?<!\w)(parents?|guardians?|mother|father|mum|mom|dad|carers?|kin|mutter|vater|eltern)(?!\w)")


def guess(headings: Sequence[str], known: Mapping[str, str] | None = None) -> tuple[str, ...]:
    """A key of ``MEANINGS`` for each heading, "" where nothing fits; no key twice.

    known: exact headings and their keys (those of our own exports), which come first.
    """
    exact = {_plain(heading): key for heading, key in (known or {}).items()}
    guardians: dict[str, int] = {}
    found: list[str] = []
    for heading in map(_plain, headings):
        key = exact.get(heading) or _guess(heading, guardians)
        found.append(key if key not in found else "")
    return tuple(found)


def _guess(heading: str, guardians: dict[str, int]) -> str:
    whose = _GUARDIAN.search(heading)
    if not whose:
        fit = next((what for what, words in _FITS if words.search(heading)), None)
        return str(fit) if fit else ""
    digits = re.search(r"\d", heading)
    number = guardians.setdefault(whose[1] + (digits[0] if digits else ""), len(guardians) + 1)
    what = next((what for what, words in _FITS if what in OF_GUARDIANS and words.search(heading)), What.NAME)
    return Meaning(what, number).key if number <= GUARDIANS else ""


def _plain(text: str) -> str:
    return re.sub(r"[\s_./:]+", " ", unicodedata.normalize("NFC", text).casefold()).strip()


def shown(cell: Cell) -> str:
    """A cell as text, blanks collapsed."""
    if isinstance(cell, Decimal):
        return format(cell.normalize(), "f")
    return " ".join(str(cell).split()) if cell is not None else ""


def find_header(rows: Sequence[Row]) -> int:
    """Index of the row of headings: below any title, the row that names most things we know."""
    scores = [_score(row) for row in rows[:HEADER_SEARCH]]
    best = max(scores, default=0)
    if best >= 2:
        at = scores.index(best)
        return at + 1 if at + 1 < len(scores) and scores[at + 1] >= 2 else at  # headings of two rows: the lower one
    return next((n for n, row in enumerate(rows[:HEADER_SEARCH]) if _filled(row) >= 2), 0)


def _score(row: Row) -> int:
    return sum(bool(key) for key in guess([cell if isinstance(cell, str) else "" for cell in row]))


def _filled(row: Row) -> int:
    return sum(bool(shown(cell)) for cell in row)


def headings(rows: Sequence[Row], header: int) -> tuple[str, ...]:
    """The headings of that row, each below the merged heading above it if there is one: "Parent 1 Phone".

    A merged cell holds its text in its first cell alone, so that a heading reaches to the next one.
    """
    own = [shown(cell) for cell in rows[header]]
    above = [shown(cell) for cell in rows[header - 1]] if header and _filled(rows[header - 1]) >= 2 else []
    width = max(len(own), len(above), max((len(row) for row in rows), default=0))
    own, above = own + [""] * (width - len(own)), above + [""] * (width - len(above))
    found, reaching = [], ""
    for name, group in zip(own, above, strict=True):
        reaching = group or reaching
        found.append(f"{reaching} {name}".strip() if name else group)
    return tuple(found)


def signature(names: Iterable[str]) -> str:
    """What makes two files of one kind: their headings, in order."""
    return "\n".join(_plain(name) for name in names).rstrip("\n")
