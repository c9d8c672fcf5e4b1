"""When two names are the same name."""

import unicodedata


def name_key(name: str) -> str:
    """The same for names that differ in case, in blanks, or in how a letter is encoded."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())
