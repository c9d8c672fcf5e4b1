"""What the app of the stations loads: names of static files."""

from pathlib import Path

HERE = Path(__file__).parent
OWN = HERE / "static"
WORKER = OWN / "station" / "worker.js"
FONT = "club/vendor/fonts/atkinson-hyperlegible-next-latin-wght-normal.woff2"
APART = {"worker.js", "safety.js"}
"""What no module of the app imports."""


def modules() -> list[str]:
    """Everything that the app imports, so that a page can ask for all of it before it has read the first."""
    return [f"station/{file.name}" for file in sorted((OWN / "station").glob("*.js")) if file.name not in APART]


def assets() -> list[str]:
    styles = ("tokens", "frame", "components", "tablet")
    return [
        *(f"club/css/{name}.css" for name in styles),
        *("station/station.css", "club/js/frame.js", "club/img/mark.svg", FONT),
        *(*modules(), "station/safety.js"),
    ]
