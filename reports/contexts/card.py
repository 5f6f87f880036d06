"""The reference card as an SVG page, drawn from the same numbers that it is measured by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from placements.photogrammetry.card import MARGIN_MM, MARKER_MM, RULER_MM, Card, marker_modules

INCH_MM = 25.4
OVERLAP_MM = 0.05
PAPER_NAMES = {"letter": "Letter", "a4": "A4"}


@dataclass(frozen=True, slots=True)
class CardPage:
    """One card: its drawing at the page's own size, and what the paper is called."""

    card: Card
    svg: str
    paper: str


def card_page(card: Card) -> CardPage:
    width, height = card.size
    parts = [
        _marker(marker, corners, height) for marker, corners in zip(card.marker_ids, card.marker_corners(), strict=True)
    ]
    parts += [_ruler(width, height), _lettering(card, width, height)]
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" role="img" aria-label="Reference card {card.number}: four markers and a '
        f'ruler">{"".join(parts)}</svg>'
    )
    return CardPage(card, svg, PAPER_NAMES[card.paper])


def _marker(marker: int, corners: np.ndarray, height: float) -> str:
    """A black square with white cells on it; where two of them meet they overlap, so that no seam is seen."""
    left, top = corners[0][0], height - corners[0][1]
    modules = marker_modules(marker)
    cell = MARKER_MM / len(modules)
    cells = []
    for row, column in zip(*np.nonzero(modules), strict=True):
        # The border of a marker is black, so every white cell has a neighbour to its right and below.
        wide = cell + OVERLAP_MM * modules[row, column + 1]
        high = cell + OVERLAP_MM * modules[row + 1, column]
        cells.append(f"M{left + column * cell:.4f} {top + row * cell:.4f}h{wide:.4f}v{high:.4f}h-{wide:.4f}z")
    square = f"M{left:.4f} {top:.4f}h{MARKER_MM:g}v{MARKER_MM:g}h-{MARKER_MM:g}z"
    return f'<path fill="#000" d="{square}"/><path fill="#fff" d="{"".join(cells)}"/>'


def _ruler(width: float, height: float) -> str:
    """100 mm above the line, 4 inches below it, both from the same end."""
    left, line = (width - RULER_MM) / 2, height / 2 + 6
    ticks, words = [], []
    for mm in range(int(RULER_MM) + 1):
        length = 6 if mm % 10 == 0 else 4 if mm % 5 == 0 else 2.5
        ticks.append(f"M{left + mm:.3f} {line:.3f}v-{length:g}")
        if mm % 20 == 0:
            words.append(_text(left + mm, line - 7.5, str(mm), 3.2))
    sixteenths = int(RULER_MM / INCH_MM * 16)
    for part in range(sixteenths + 1):
        length = (
            6 if part % 16 == 0 else 4.4 if part % 8 == 0 else 3.2 if part % 4 == 0 else 2.2 if part % 2 == 0 else 1.4
        )
        ticks.append(f"M{left + part * INCH_MM / 16:.3f} {line:.3f}v{length:g}")
        if part % 16 == 0:
            words.append(_text(left + part * INCH_MM / 16, line + 9.6, str(part // 16), 3.2))
    words += [_text(left - 6, line - 3, "mm", 3.2), _text(left - 6, line + 5, "in", 3.2)]
    line_path = f"M{left:.3f} {line:.3f}h{RULER_MM:g}"
    return f'<path fill="none" stroke="#000" stroke-width="0.2" d="{line_path}{"".join(ticks)}"/>{"".join(words)}'


def _lettering(card: Card, width: float, height: float) -> str:
    """What to do, in the card's free cross; nothing within a cell of a marker, where the camera needs white."""
    middle, top = width / 2, MARGIN_MM + MARKER_MM + 17
    name = f"Reference card {card.number}, {PAPER_NAMES[card.paper]}"
    before = [
        ("Print at actual size: 100 %, no scaling, no “fit to page”.", 3.6),
        ("Then lay a tape on the ruler: 0 to 100 must be 100 mm.", 3.6),
        ("If it is not, type what it is when you add the photograph.", 3.6),
    ]
    after = [
        "Lay it flat in the same plane as what you measure; on a wall, set it with a spirit level.",
        "All four squares in view, no glare, no flash, nothing over them. Do not cut the page.",
        "Mount it on stiff board to use it again and again.",
    ]
    rows = [_text(middle, top, name, 6, weight=600)]
    rows += [_text(middle, top + 9 + 5.6 * row, text, size) for row, (text, size) in enumerate(before)]
    below = height / 2 + 26
    rows += [_text(middle, below + 5.2 * row, text, 3.4) for row, text in enumerate(after)]
    rows.append(_text(middle, MARGIN_MM + 8, "this edge up", 3.2))
    rows.append(
        f'<path fill="none" stroke="#000" stroke-width="0.3" d="M{middle:g} {MARGIN_MM + 4:g}v-9m-2 3l2-3l2 3"/>'
    )
    return "".join(rows)


def _text(x: float, y: float, text: str, size: float, weight: int = 400) -> str:
    return (
        f'<text x="{x:.3f}" y="{y:.3f}" font-size="{size:g}" font-family="Overmantel Sans" font-weight="{weight}" '
        f'text-anchor="middle" fill="#000">{text}</text>'
    )
