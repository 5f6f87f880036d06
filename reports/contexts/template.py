"""The full-size paper template of one piece: its top edge, middle and hook points, tiled over pages.

Tiles lie edge to edge inside the printable part of the page; trim along the crop marks and tape them together. The
scale check bar on every tile says whether the printer kept the size.
"""

from __future__ import annotations

from dataclasses import dataclass
from string import ascii_uppercase

from placements.drawings.pen import FONT, Box, boxed, group, label, line, tag, titled
from studio.units import Units

from .pieces import JobPiece
from .sheet import PAPERS, Heading

#: No printer prints to the edge.
EDGE_MM = 12.0
#: Room around the hooks and above the top edge.
ROUND_MM = 25.0
MARK_MM = 6.0
TEXT_MM = 3.2
#: Black, as a printer without colours has it.
INK = "#000"
#: What comes to the marked point, by the piece's hardware.
RESTS = {
    "wire": "the wire rests here",
    "two_rings": "the ring rests here",
    "sawtooth": "the hanger's teeth rest here",
    "keyholes": "the keyhole rests here, on the screw's neck",
    "cleat": "on the cleat's level line; its screws go along it",
}


@dataclass(frozen=True, slots=True)
class PaperTemplate:
    heading: Heading
    title: str
    number: int
    size: str
    across: int
    down: int
    tiles: tuple[str, ...]


def paper_template(piece: JobPiece, units: Units, paper: str, heading: Heading) -> PaperTemplate:
    """The tiles of a piece that has hook points, each an SVG of the whole page in millimetres."""
    wide, high = (side - 2 * EDGE_MM for side in PAPERS[paper])
    points = [hook.fastened.point for hook in piece.points]
    left = min(piece.rect.centre_x, *(point.left for point in points)) - ROUND_MM
    right = max(piece.rect.centre_x, *(point.left for point in points)) + ROUND_MM
    top = max(piece.rect.top, *(point.height for point in points)) + ROUND_MM
    bottom = min(point.height for point in points) - ROUND_MM
    across, down = -(-(right - left) // wide), -(-(top - bottom) // high)
    # Centre the drawing in its tiles.
    x0 = left - (across * wide - (right - left)) / 2
    y0 = top + (down * high - (top - bottom)) / 2
    tiles = tuple(
        _tile(piece, units, paper, heading, x0 + column * wide, y0 - row * high, int(row), int(column), int(across))
        for row in range(int(down))
        for column in range(int(across))
    )
    size = units.size(piece.rect.width, piece.rect.height)
    return PaperTemplate(heading, piece.work.title, piece.number, size, int(across), int(down), tiles)


def tile_name(row: int, column: int) -> str:
    return f"{ascii_uppercase[row]}{column + 1}"


def _tile(
    piece: JobPiece,
    units: Units,
    paper: str,
    heading: Heading,
    x0: float,
    y0: float,
    row: int,
    column: int,
    across: int,
) -> str:
    """One page; (x0, y0) is the wall point at the tile's upper left corner."""
    width, height = PAPERS[paper]
    wide, high = width - 2 * EDGE_MM, height - 2 * EDGE_MM
    name, key = tile_name(row, column), f"tile-{row}-{column}"
    said = f"{name} of {across} across. Piece {piece.number}, {piece.work.title}. "
    said += f"{heading.project}, revision {heading.revision} ({heading.short_hash})"
    parts = (
        titled(f"Tile {name}"),
        group("crops", _crops(wide, high), stroke=INK, stroke_width=0.25),
        tag("clipPath", {"id": key}, boxed(Box(0, 0, wide, high))),
        tag("g", {"clip-path": f"url(#{key})"}, _marks(piece, x0, y0)),
        _check_bar(units, high - 6),
        label(said, 4, 5, TEXT_MM),
    )
    return tag(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{width}mm",
            "height": f"{height}mm",
            "viewBox": f"{-EDGE_MM} {-EDGE_MM} {width} {height}",
            "font-family": FONT,
        },
        "".join(parts),
    )


def _marks(piece: JobPiece, x0: float, y0: float) -> str:
    """The piece's top edge, its middle and its hooks, seen from the wall point at the tile's upper left corner."""
    left, top, middle = piece.rect.left - x0, y0 - piece.rect.top, piece.rect.centre_x - x0
    drawn = [
        line(left, top, left + piece.rect.width, top, stroke_width=0.6),
        line(middle, top - ROUND_MM, middle, top + 400, stroke_width=0.25, stroke_dasharray="4 2"),
        _said("top edge of the piece; the dashed line is its middle", middle + 2, top - 2),
    ]
    for hook in piece.points:
        x, y = hook.fastened.point.left - x0, y0 - hook.fastened.point.height
        drawn += [
            line(x - 9, y, x + 9, y),
            line(x, y - 9, x, y + 9),
            tag("circle", {"cx": x, "cy": y, "r": 4, "fill": "none"}),
            _said(f"hook {hook.label}: {RESTS[piece.hooks.kind]}", x + 6, y + 7),
        ]
    return group("marks", "".join(drawn), stroke=INK, stroke_width=0.35)


def _check_bar(units: Units, y: float) -> str:
    """The bar that says whether the printer kept the size."""
    length, said = (100.0, "100 mm") if units.metric else (101.6, "4 in")
    ends = "".join(line(x, y - 2, x, y + 2) for x in (4, 4 + length))
    text = _said(f"This bar must measure {said}; if not, print again at 100 %.", 4, y - 3)
    return group("check", line(4, y, 4 + length, y) + ends + text, stroke=INK, stroke_width=0.35)


def _crops(wide: float, high: float) -> str:
    """Corner marks just outside the tile."""
    lines = []
    for x, out_x in ((0.0, -1), (wide, 1)):
        for y, out_y in ((0.0, -1), (high, 1)):
            lines.append(line(x + out_x * 1.5, y, x + out_x * (1.5 + MARK_MM), y))
            lines.append(line(x, y + out_y * 1.5, x, y + out_y * (1.5 + MARK_MM)))
    return "".join(lines)


def _said(text: str, x: float, y: float) -> str:
    return label(text, x, y, TEXT_MM, stroke="none")
