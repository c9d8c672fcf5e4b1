"""When two names are the same name."""

import re
import unicodedata


def name_key(name: str) -> str:
    """The same for names that differ in case, in blanks, or in how a letter is encoded."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def warning_key(name: str) -> str:
    """The same for names that may mean one person, where a miss would hurt: whatever the order of their parts ("Oakes,
    Marta"), the accents and the stops. It warns, and recognises nobody."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", name.casefold()) if not unicodedata.combining(c))
    return " ".join(sorted(re.sub(r"[.,;]", " ", plain).split()))
