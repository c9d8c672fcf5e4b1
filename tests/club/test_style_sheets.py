"""The style sheets keep the two promises that the look makes: one file of raw values, and two hues with one meaning."""

import re
from pathlib import Path

import pytest

STATIC = Path(__file__).parents[2] / "club" / "static" / "club"
SHEETS = sorted((STATIC / "css").glob("*.css"))
TOKENS = (STATIC / "css" / "tokens.css").read_text()


def without_comments(text: str) -> str:
    return re.sub(r"/\*.*?\*/", "", text, flags=re.S)


def block(selector: str) -> dict[str, str]:
    """Custom properties that tokens.css gives a selector."""
    body = TOKENS.split(selector + "{", 1)[1].split("}", 1)[0]
    return dict(re.findall(r"(--[\w-]+):([^;]+);", without_comments(body)))


@pytest.mark.parametrize("sheet", [s for s in SHEETS if s.name != "tokens.css"], ids=lambda sheet: sheet.name)
def test_only_the_tokens_hold_raw_colours(sheet):
    found = re.findall(r"#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\(", without_comments(sheet.read_text()))
    assert found == []


@pytest.mark.parametrize("sheet", [s for s in SHEETS if s.name != "tokens.css"], ids=lambda sheet: sheet.name)
def test_every_token_that_is_used_exists(sheet):
    used = set(re.findall(r"var\((--[\w-]+)\)", sheet.read_text()))
    assert used <= set(re.findall(r"(--[\w-]+):", TOKENS))


def test_dark_by_preference_and_dark_by_choice_are_the_same():
    preferred, chosen = block(":root:not([data-theme=light])"), block(":root[data-theme=dark]")
    assert preferred == chosen
    assert {"--ink", "--sheet", "--drop", "--plant", "--on-drop"} <= preferred.keys()


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2 definition."""
    shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("theme", [":root", ":root[data-theme=dark]"])
@pytest.mark.parametrize(
    "text,ground",
    [
        ("ink", "sheet"),
        ("ink", "chalk"),
        ("ink", "mist"),
        ("ink-2", "sheet"),
        ("ink-2", "chalk"),
        ("ink-2", "mist"),
        ("on-ink", "ink"),
        ("drop", "sheet"),
        ("drop", "chalk"),
        ("plant", "sheet"),
        ("plant", "chalk"),
        ("on-drop", "drop"),
        ("on-plant", "plant"),
        ("ink", "drop-tint"),
        ("ink", "plant-tint"),
    ],
)
def test_text_keeps_4_5_to_1_on_its_ground(theme, text, ground):
    tokens = block(theme)
    assert contrast(tokens[f"--{text}"], tokens[f"--{ground}"]) >= 4.5


def test_no_sheet_asks_another_host_or_imports():
    for sheet in SHEETS:
        assert not re.search(r"@import|https?:|url\(\s*['\"]?//", sheet.read_text()), sheet.name


def test_the_mark_file_is_the_mark_the_strip_draws():
    from club.core.run_strip import SIZES, STEPS, StripSpec, run_strip

    cells = run_strip(StripSpec(SIZES["mark"], lit=frozenset(STEPS))).shapes
    drawn = re.findall(r'points="([^"]+)"', (STATIC / "img" / "mark.svg").read_text())
    assert drawn == [cell.attr("points") for cell in cells]
    tokens = block(":root")
    assert f'fill="{tokens["--drop"]}"' in (STATIC / "img" / "mark.svg").read_text()
