"""What must never be said to athletes and parents, found in a text that a coach wrote or that the app made.

The words of the trade's list: percentages and counts of faults, "behind", "stuck", pole ratings and masses, other
children's names, injuries, a date or height promised.
"""

import re
from collections.abc import Iterable
from enum import StrEnum


class Never(StrEnum):
    PERCENT = "percent"
    FAULT = "fault"
    BEHIND = "behind"
    RATING = "rating"
    INJURY = "injury"
    PROMISE = "promise"
    ALONE = "alone"
    NAME = "name"


# English and German, as whole words; what both languages share stands once.
_PATTERNS: dict[Never, str] = {
    Never.PERCENT: r"%|\bper ?cent\b|\bprozent\b|\brates?\b|\bquote[n]?\b",
    Never.FAULT: r"\bfault\w*|\bmistakes?\b|\bfehler\w*|\bfaulty\b",
    Never.BEHIND: r"\b(?:falls?|is|are|lags?) behind\b|\bstuck\b|\bhinterher\b|\bfestgefahren\b|\bsteckt fest\b"
    r"|\bslower than\b|\bschlechter als\b|\bthe (?:worst|weakest|best)\b",
    Never.RATING: r"\d\s*(?:kg|lbs?|pounds?|pfund|kilos?)\b|\brating\b|\bweighs?\b|\bwiegt\b",
    Never.INJURY: r"\binjur\w*|\bconcussion\b|\bverletz\w*|\bgehirnerschütterung\b",
    Never.PROMISE: r"\bwill (?:jump|clear|vault)\b|\bby (?:next|the end of)\b|\bbis (?:ende|nächste\w*)\b"
    r"|\bwird .{0,40}springen\b|\d[.,]\d\d\s?m\b",
    Never.ALONE: r"\bat home with (?:a|the) pole\b|\bpractise at home\b|\bzu hause üben\b",
}
_COMPILED = {kind: re.compile(pattern, re.IGNORECASE) for kind, pattern in _PATTERNS.items()}


def found(text: str, other_names: Iterable[str] = ()) -> list[Never]:
    """The kinds of forbidden things in the text. other_names: given names of the other children of the club."""
    kinds = [kind for kind, pattern in _COMPILED.items() if pattern.search(text)]
    if any(re.search(rf"\b{re.escape(name)}\b", text, re.IGNORECASE) for name in other_names if len(name) > 1):
        kinds.append(Never.NAME)
    return kinds
