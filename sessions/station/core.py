"""What a station page works out before anybody taps: who is called what, which block it is, where each fault stands."""

from collections import Counter
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

Key = TypeVar("Key", bound=Hashable)

COLUMNS = ("carry", "drop", "plant", "contact")
"""The columns under the run strip, in the order of the run."""


@dataclass(frozen=True, slots=True)
class FullName:
    given: str
    family: str


@dataclass(frozen=True, slots=True)
class BlockSpan:
    """A block of a practice, from and until as moments."""

    number: int
    starts: datetime
    ends: datetime


@dataclass(frozen=True, slots=True)
class OfferedFault:
    """A fault that a drill offers. order: of its checkpoint in the drill, then its own."""

    key: str
    phase: str
    gate: bool
    order: tuple[int, int]


def called(names: Mapping[Key, FullName]) -> dict[Key, str]:
    """First names; where two share one, as much of the family name as tells them apart ("Nandi K.").

    Two with the very same name are numbered in the order given, because a rep must not go to the wrong child.
    """
    given = Counter(name.given for name in names.values())
    written = {key: name.given if given[name.given] == 1 else _told_apart(name, names) for key, name in names.items()}
    return _numbered(written)


def _told_apart(name: FullName, names: Mapping[Key, FullName]) -> str:
    others = {other.family for other in names.values() if other.given == name.given and other != name}
    for length in range(1, len(name.family)):
        if not any(family[:length].casefold() == name.family[:length].casefold() for family in others):
            return f"{name.given} {name.family[:length]}."
    return f"{name.given} {name.family}".strip()


def _numbered(written: dict[Key, str]) -> dict[Key, str]:
    total, seen = Counter(written.values()), Counter[str]()
    for key, text in written.items():
        if total[text] > 1:
            seen[text] += 1
            written[key] = f"{text} {seen[text]}"
    return written


def block_now(blocks: Sequence[BlockSpan], now: datetime) -> int | None:
    """Number of the block that this moment falls in, else of the first. None without blocks."""
    running = (block.number for block in blocks if block.starts <= now < block.ends)
    return next(running, blocks[0].number if blocks else None)


def in_run_order(faults: Iterable[OfferedFault]) -> list[OfferedFault]:
    """The earliest in the run first; what belongs to the whole run comes last. The first of two is the main fault."""
    return sorted(faults, key=lambda fault: (_place(fault.phase), fault.order))


def _place(phase: str) -> int:
    return COLUMNS.index(phase) if phase in COLUMNS else len(COLUMNS)


def columns(faults: Iterable[OfferedFault]) -> dict[str, list[str]]:
    """Column → keys of its faults: those of gate checkpoints first, then as the drill offers them.

    What belongs to the whole run stands in the first column, after the carry's own.
    """
    found: dict[str, list[str]] = {column: [] for column in COLUMNS}
    for fault in sorted(in_run_order(faults), key=lambda fault: not fault.gate):
        found[fault.phase if fault.phase in COLUMNS else COLUMNS[0]].append(fault.key)
    return found
