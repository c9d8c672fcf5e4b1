"""The roster on its way out: the same columns that come in, so that importing it changes nothing.

Body masses stay at home: the file lies on whatever computer it was saved on.
"""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from athletes.core.roster.columns import GUARDIANS, Meaning, What
from athletes.core.roster.plan import Known
from athletes.core.roster.values import quoted
from club.core.units import plain

CHILD = (What.GIVEN, What.FAMILY, What.BORN, What.HAND, What.SQUADS, What.EMAIL, What.PHONE, What.HEIGHT,
         What.STANDING_REACH)  # fmt: skip
GUARDIAN = (What.GIVEN, What.FAMILY, What.EMAIL, What.PHONE)


def columns(children: Sequence[Known]) -> tuple[Meaning, ...]:
    """Those of the child, then those of as many guardians as any child has, up to ``GUARDIANS``."""
    most = min(GUARDIANS, max((len(child.guardians) for child in children), default=0))
    guardians = (Meaning(what, n) for n in range(1, most + 1) for what in GUARDIAN)
    return (*(Meaning(what) for what in CHILD), *guardians)


def lines(
    children: Sequence[Known], people: Mapping[str, Known], names: Mapping[str, str]
) -> Iterable[tuple[str, ...]]:
    """The headings (names, by key), then a line for each child. What a spreadsheet would compute is quoted."""
    shown = columns(children)
    yield tuple(quoted(names[meaning.key]) for meaning in shown)
    for child in children:
        guardians = sorted((people[one] for one in child.guardians if one in people), key=lambda one: (one.key, one.id))
        yield tuple(quoted(_said(meaning, child, guardians)) for meaning in shown)


def _said(meaning: Meaning, child: Known, guardians: Sequence[Known]) -> str:
    if meaning.guardian:
        person = guardians[meaning.guardian - 1] if len(guardians) >= meaning.guardian else None
        return str(getattr(person, meaning.what)) if person else ""
    match meaning.what:
        case What.BORN:
            return child.born.isoformat() if child.born else ""
        case What.SQUADS:
            return ", ".join(sorted(child.squads))
        case What.HEIGHT | What.STANDING_REACH:
            return metres(child.measured.get(meaning.what))
        case _:
            return str(getattr(child, meaning.what))


def metres(value: Decimal | None) -> str:
    """With its unit, whatever the club's: exact, and read back as it is."""
    return "" if value is None else f"{plain(value)} m"
