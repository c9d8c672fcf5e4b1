"""The three settings of use, as the browser sees them."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Size:
    """Pixels of the window, and whether it is touched."""

    name: str
    width: int
    height: int
    touch: bool

    @property
    def context(self) -> dict[str, Any]:
        """Arguments of a Playwright browser context."""
        return {"viewport": {"width": self.width, "height": self.height}, "has_touch": self.touch}


DESK = Size("desk", 1440, 900, touch=False)
TABLET = Size("tablet", 1024, 768, touch=True)
PHONE = Size("phone", 390, 844, touch=True)
SIZES = (DESK, TABLET, PHONE)
