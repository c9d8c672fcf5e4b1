"""Keys of new items, made from their names: stable from then on, whatever the name becomes."""

import re
import unicodedata
from collections.abc import Collection

from drills.core.problems import KEY_LENGTH

_LONGEST_MADE = KEY_LENGTH - 5
"""Room for a number behind it."""


def key_from(name: str, taken: Collection[str], otherwise: str) -> str:
    """A key like the name, not among those taken. otherwise: where the name has no letter that a key can have."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    wanted = "-".join(re.findall("[a-z0-9]+", plain))[:_LONGEST_MADE].strip("-")
    if not wanted or not wanted[0].isalpha():
        wanted = f"{otherwise}-{wanted}".strip("-")
    number, key = 1, wanted
    while key in taken:
        number += 1
        key = f"{wanted}-{number}"
    return key


def shortened(name: str, length: int) -> str:
    """The name where it fits, else as many whole words as do, else cut."""
    text = " ".join(name.split())
    if len(text) <= length:
        return text
    words = text[: length + 1].rpartition(" ")[0]
    return (words or text[:length]).rstrip(" ,;:.-")
