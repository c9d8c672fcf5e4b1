"""Whether a name that is said at the gate is one of those the club was warned of.

A warning too many costs a second look, one too few may cost a child: so names match in any order and case, without
their accents, and when one holds all words of the other ("Novak" is warned of as "Marek Novak").
"""

import unicodedata
from collections.abc import Iterable


def words(name: str) -> frozenset[str]:
    """The words of a name, without case, accents and marks."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", name.casefold()) if not unicodedata.combining(c))
    return frozenset("".join(c if c.isalnum() else " " for c in plain).split())


def is_warned_of(name: str, barred: str) -> bool:
    """Whether ``name`` may be the person ``barred``."""
    said, known = words(name), words(barred)
    return bool(said and known) and (said <= known or known <= said)


def warned_of(name: str, barred: Iterable[str]) -> tuple[str, ...]:
    """Those of ``barred`` that the name may be."""
    return tuple(one for one in barred if is_warned_of(name, one))
