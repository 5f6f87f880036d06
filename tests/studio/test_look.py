"""The look's promises that a machine can hold: contrast on both sheets, glyphs, and the drawing's ink."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from placements.drawings import pen

STATIC = Path(__file__).resolve().parents[2] / "studio" / "static" / "studio"
TOKENS = {
    name: {"paper": light, "night": dark}
    for name, light, dark in re.findall(
        r"--([a-z-]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\)", (STATIC / "tokens.css").read_text()
    )
}
#: (lettering, ground, least ratio): 4.5 for text, 3 for the edges of controls (WCAG 2.2, 1.4.3 and 1.4.11).
PAIRS = [
    *((ink, ground, 4.5) for ink in ("ink", "pencil", "bole", "verdigris", "ochre") for ground in ("paper", "sheet")),
    *((ink, "wall", 4.5) for ink in ("ink", "pencil", "bole", "verdigris")),
    *((ink, "accent-wall", 4.5) for ink in ("ink", "pencil")),
    ("ink", "wash", 4.5),
    ("pencil", "wash", 4.5),
    ("bole", "wash", 4.5),
    ("bole-deep", "sheet", 4.5),
    ("on-bole", "bole", 4.5),
    ("on-bole", "bole-deep", 4.5),
    ("on-ochre", "ochre", 4.5),
    ("edge", "sheet", 3.0),
    ("edge", "paper", 3.0),
]


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (WCAG 2.2, "relative luminance")."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize(
    ("grey", "ratio"),
    [("#000000", 21.0), ("#767676", 4.5422), ("#777777", 4.4781), ("#949494", 3.0335), ("#595959", 7.0047)],
)
def test_contrast_formula_gives_published_values(grey: str, ratio: float) -> None:
    # Ratios against white as the package wcag-contrast-ratio gives them.
    assert contrast(grey, "#ffffff") == pytest.approx(ratio, abs=5e-5)


@pytest.mark.parametrize("sheet", ["paper", "night"])
@pytest.mark.parametrize(("ink", "ground", "least"), PAIRS)
def test_lettering_is_legible(sheet: str, ink: str, ground: str, least: float) -> None:
    assert contrast(TOKENS[ink][sheet], TOKENS[ground][sheet]) >= least


def test_drawing_uses_the_paper_sheets_colours() -> None:
    for name in ("ink", "pencil", "rule", "sheet", "wall", "bole", "verdigris", "ochre"):
        assert getattr(pen, name.upper()) == TOKENS[name]["paper"]


@pytest.mark.parametrize("font", sorted(path.name for path in (STATIC / "fonts").glob("*.woff2")))
def test_fonts_have_primes_and_fractions(font: str) -> None:
    glyphs = TTFont(STATIC / "fonts" / font).getBestCmap()
    assert [mark for mark in "′″½¼¾⅛⅜⅝⅞⁄×–¹³⁵⁷⁹₁₆" if ord(mark) not in glyphs] == []


@pytest.mark.parametrize("font", ["sans-400.woff2", "sans-600.woff2"])
def test_sans_has_tabular_figures(font: str) -> None:
    face = TTFont(STATIC / "fonts" / font)
    glyphs, widths = face.getBestCmap(), face["hmtx"]
    assert len({widths[glyphs[ord(figure)]][0] for figure in "0123456789"}) == 1


def test_lettering_is_measured_generously() -> None:
    face = TTFont(STATIC / "fonts" / "sans-400.woff2")
    glyphs, widths, em = face.getBestCmap(), face["hmtx"], face["head"].unitsPerEm
    for text in (
        "centre 5′ 2″",
        "14′ 0½″",
        "wall 4270 mm",
        "sofa 7′ 0″",
        "eye line",
        "60–66″",
        "Between window and sofa",
    ):
        true = sum(widths[glyphs[ord(letter)]][0] for letter in text) / em
        assert true <= pen.text_width(text, 1.0) <= true * 1.25


def test_pages_load_nothing_from_elsewhere() -> None:
    for path in [*STATIC.parents[2].glob("static/**/*.css"), *STATIC.parents[3].glob("templates/**/*.html")]:
        assert not re.search(r"(?:src|href|url\()\s*=?\s*[\"']?(?:https?:)?//", path.read_text()), path.name
