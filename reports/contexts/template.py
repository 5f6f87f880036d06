"""The full-size paper template of one piece: its top edge, middle, hooks and nails, tiled over pages.

Neighbouring tiles share a strip and are laid to its line; no mark lies in a strip. Every tile says where its marks are
on the wall, and has a bar that says whether the printer kept the size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from string import ascii_uppercase

from placements.drawings.pen import FONT, Box, boxed, group, label, line, tag, titled
from studio.units import Units

from .pieces import Hook, JobPiece
from .sheet import PAPERS, Heading

#: No printer prints to the edge.
EDGE_MM = 12.0
#: Room around the hooks and above the top edge.
ROUND_MM = 25.0
MARK_MM = 6.0
#: What neighbouring tiles share, and how far from it marks stay.
OVERLAP_MM = 10.0
CLEAR_MM = 4.0
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
    "ring": "the ring rests here",
    "straps": "the strap's ring rests here",
    "security": "the security hanger holds here",
    "batten": "on the batten's level line; its screws go along it",
    "rods": "the rod's or cable's hook holds here; nothing is drilled",
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
    xs = [piece.rect.centre_x, *(hook.fastened.point.left for hook in piece.points)]
    ys = [piece.rect.top, *(y for hook in piece.points for y in (hook.fastened.point.height, _nail(hook)))]
    columns, x0 = _laid(xs, wide)
    rows, below = _laid([-y for y in ys], high)
    tiles = tuple(
        _tile(
            piece,
            units,
            paper,
            heading,
            x0 + column * (wide - OVERLAP_MM),
            -below - row * (high - OVERLAP_MM),
            (row, column),
            (rows, columns),
        )
        for row in range(rows)
        for column in range(columns)
    )
    size = units.size(piece.rect.width, piece.rect.height)
    return PaperTemplate(heading, piece.work.title, piece.number, size, columns, rows, tiles)


def _nail(hook: Hook) -> float:
    """The height of a hook's nail or screw; of its seat where the rise is to be measured."""
    return hook.fastened.point.height + (hook.fastened.choice.rise_mm or 0.0)


def _laid(marks: Sequence[float], size: float) -> tuple[int, float]:
    """How many tiles of a size hold the marks along one direction, and where the first begins, so that each mark is
    clear of what two tiles share.
    """
    low, high = min(marks) - ROUND_MM, max(marks) + ROUND_MM
    step = size - OVERLAP_MM
    fewest = max(1, ceil((high - low - OVERLAP_MM) / step))
    for count in (fewest, fewest + 1):
        room = count * step + OVERLAP_MM - (high - low)
        for share in (0.5, *(part / 20 for part in range(21))):
            start = low - room * share
            strips = [start + index * step for index in range(1, count)]
            if not any(strip - CLEAR_MM < mark < strip + OVERLAP_MM + CLEAR_MM for strip in strips for mark in marks):
                return count, start
    return fewest, low


def tile_name(row: int, column: int) -> str:
    return f"{ascii_uppercase[row]}{column + 1}"


def _tile(
    piece: JobPiece,
    units: Units,
    paper: str,
    heading: Heading,
    x0: float,
    y0: float,
    at: tuple[int, int],
    of: tuple[int, int],
) -> str:
    """One page; (x0, y0) is the wall point at the tile's upper left corner; `at` and `of` count rows and columns."""
    width, height = PAPERS[paper]
    wide, high = width - 2 * EDGE_MM, height - 2 * EDGE_MM
    name, key = tile_name(*at), f"tile-{at[0]}-{at[1]}"
    said = f"Tile {name}; {of[1]} across, {of[0]} down. Piece {piece.number}, {piece.work.title}. "
    said += f"{heading.project}, revision {heading.revision} ({heading.short_hash})"
    parts = (
        titled(f"Tile {name} of the full-size template of piece {piece.number}, {piece.work.title}"),
        group("crops", _crops(wide, high), stroke=INK, stroke_width=0.25),
        tag("clipPath", {"id": key}, boxed(Box(0, 0, wide, high))),
        tag("g", {"clip-path": f"url(#{key})"}, _marks(piece, units, x0, y0, wide)),
        _strips(at, of, wide, high),
        _check_bar(units, high - OVERLAP_MM - 6),
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


def _marks(piece: JobPiece, units: Units, x0: float, y0: float, wide: float) -> str:
    """The piece's top edge, its middle, its hooks and their nails, seen from the tile's upper left corner."""
    left, top, middle = piece.rect.left - x0, y0 - piece.rect.top, piece.rect.centre_x - x0
    along, up = units.length(piece.rect.centre_x), units.length(piece.rect.top)
    drawn = [
        line(left, top, left + piece.rect.width, top, stroke_width=0.6),
        line(middle, top - ROUND_MM, middle, top + 400, stroke_width=0.25, stroke_dasharray="4 2"),
        _beside(f"top edge of the piece: {up} from the floor", middle, top - 2, wide),
        _beside(f"middle: {along} from the wall's left end", middle, top - 7, wide),
    ]
    for hook in piece.points:
        x, y, nail = hook.fastened.point.left - x0, y0 - hook.fastened.point.height, y0 - _nail(hook)
        place = f"{units.length(hook.datum_mm)} from the left end, {units.length(hook.floor_mm)} from the floor"
        drawn += [
            line(x - 9, y, x + 9, y),
            line(x, y - 9, x, y + 9),
            tag("circle", {"cx": x, "cy": y, "r": 4, "fill": "none"}),
            _beside(f"hook {hook.label}: {RESTS[piece.hooks.kind]}", x, y + 7, wide, off=6),
            _beside(place, x, y + 11.5, wide, off=6),
        ]
        if nail != y:
            drawn += [
                tag("circle", {"cx": x, "cy": nail, "r": 1.2, "fill": INK}),
                _beside(f"its nail or screw: {hook.fastened.choice.name}", x, nail + 1, wide, off=6),
            ]
    return group("marks", "".join(drawn), stroke=INK, stroke_width=0.35)


def _beside(text: str, x: float, y: float, wide: float, off: float = 2) -> str:
    """Lettering beside a mark, on its side towards the middle of the tile."""
    if x <= wide / 2:
        return _said(text, x + off, y)
    return label(text, x - off, y, TEXT_MM, "end", stroke="none")


def _strips(at: tuple[int, int], of: tuple[int, int], wide: float, high: float) -> str:
    """The lines to which the next tiles are laid, over the strips that they share with this one."""
    (row, column), (rows, columns) = at, of
    drawn = []
    if column + 1 < columns:
        x = wide - OVERLAP_MM
        drawn.append(line(x, 0, x, high))
        drawn.append(label(f"lay tile {tile_name(row, column + 1)} to this line", x - 1, high / 2, TEXT_MM, "middle",
                           upright=False, stroke="none"))  # fmt: skip
    if row + 1 < rows:
        y = high - OVERLAP_MM
        drawn.append(line(0, y, wide, y))
        drawn.append(label(f"lay tile {tile_name(row + 1, column)} to this line", wide / 2, y - 1, TEXT_MM, "middle",
                           stroke="none"))  # fmt: skip
    return group("strips", "".join(drawn), stroke=INK, stroke_width=0.2, stroke_dasharray="1.5 1.5")


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
