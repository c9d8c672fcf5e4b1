"""Drawing as values: shapes with attributes only, so that a page needs no inline style to show them."""

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape


@dataclass(frozen=True, slots=True)
class Shape:
    """One SVG element. attrs: names and values in the order they are written; text: its content, unescaped."""

    tag: str
    attrs: tuple[tuple[str, str], ...]
    text: str = ""

    def attr(self, name: str) -> str:
        """Value of the attribute, empty where there is none."""
        return dict(self.attrs).get(name, "")

    def markup(self) -> str:
        written = "".join(f' {name}="{escape(value)}"' for name, value in self.attrs)
        return f"<{self.tag}{written}>{escape(self.text)}</{self.tag}>" if self.text else f"<{self.tag}{written}/>"


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes on a sheet of width × height px. css_class names the family whose colours the style sheet gives."""

    width: float
    height: float
    css_class: str
    shapes: tuple[Shape, ...]

    def over(self, overlay: Iterable[Shape]) -> "Drawing":
        """The same sheet with more shapes on top."""
        return Drawing(self.width, self.height, self.css_class, (*self.shapes, *overlay))

    def markup(self, label: str = "") -> str:
        """The <svg> element: a named picture where it has a label, else hidden from screen readers."""
        size = f'viewBox="0 0 {px(self.width)} {px(self.height)}" width="{px(self.width)}" height="{px(self.height)}"'
        name = f'role="img" aria-label="{escape(label)}"' if label else 'aria-hidden="true"'
        inside = "".join(shape.markup() for shape in self.shapes)
        return f'<svg class="{escape(self.css_class)}" {size} {name} focusable="false">{inside}</svg>'


def px(value: float) -> str:
    """Pixels to one decimal, without a trailing ".0" or a negative zero."""
    written = f"{round(value, 1) + 0.0:.1f}"
    return written.removesuffix(".0")


def shape(tag: str, css_class: str = "", /, text: str = "", **attrs: float | str) -> Shape:
    """A shape; numbers are written as px, underscores in names as dashes, an empty class is left out."""
    pairs = {"class": css_class} if css_class else {}
    pairs |= {
        name.rstrip("_").replace("_", "-"): value if isinstance(value, str) else px(value)
        for name, value in attrs.items()
    }
    return Shape(tag, tuple(pairs.items()), text)


def points(*corners: tuple[float, float]) -> str:
    """Corners as polygon and polyline want them."""
    return " ".join(f"{px(x)},{px(y)}" for x, y in corners)
