"""What every benchmark ends with: one line of JSON, and an exit code that says whether each figure keeps its limit."""

import json
import sys
from dataclasses import dataclass, field
from typing import NoReturn


@dataclass(frozen=True, slots=True)
class Figure:
    """A measured value, its limit in words, and whether it is kept."""

    value: float
    limit: str
    ok: bool


def at_most(value: float, limit: float) -> Figure:
    return Figure(float(value), f"at most {limit:g}", bool(value <= limit))


def at_least(value: float, limit: float) -> Figure:
    return Figure(float(value), f"at least {limit:g}", bool(value >= limit))


def near(value: float, published: float, within: float) -> Figure:
    return Figure(float(value), f"{published:g} ± {within:.3g}", bool(abs(value - published) <= within))


@dataclass(slots=True)
class Report:
    """Figures by key, printed one a line as they come."""

    name: str
    figures: dict[str, Figure] = field(default_factory=dict)

    def add(self, key: str, figure: Figure) -> None:
        """Raises ValueError for a key given twice."""
        if key in self.figures:
            raise ValueError(f"{key} is already reported")
        self.figures[key] = figure
        print(f"{'ok ' if figure.ok else 'NOT'} {key}: {figure.value:.6g} ({figure.limit})", flush=True)

    def as_json(self) -> str:
        figures = {k: {"value": f.value, "limit": f.limit, "ok": f.ok} for k, f in self.figures.items()}
        return json.dumps({"name": self.name, "figures": figures}, ensure_ascii=False)

    def finish(self) -> NoReturn:
        """Print the last line and exit: 0 if there is a figure and every one keeps its limit, else 1."""
        print(self.as_json(), flush=True)
        sys.exit(0 if self.figures and all(figure.ok for figure in self.figures.values()) else 1)
