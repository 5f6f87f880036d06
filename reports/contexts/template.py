"""Full-size paper templates of one piece, or of all that hangs on a wall: edges, hooks and nails, over pages or a roll.

Neighbouring tiles share a strip and are laid to its line; no mark lies in a strip. Every tile says where its marks are
on the wall, and has a bar that says whether the printer kept the size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from string import ascii_uppercase

from placements.drawings.pen import FONT, Box, boxed, group, label, line, tag, titled
from placements.engine.names import capital
from studio.units import Units

from .detail import groups_of, numbers_of
from .pieces import Hook, JobPiece
from .sheet import PAPERS, ROLL, Heading

#: No printer prints to the edge.
EDGE_MM = 12.0
#: Room around the hooks and above the top edge.
ROUND_MM = 25.0
MARK_MM = 6.0
#: What neighbouring tiles share, and how far from it marks stay.
OVERLAP_MM = 10.0
CLEAR_MM = 4.0
TEXT_MM, NUMBER_MM = 3.2, 24.0
#: A piece of a roll is no smaller than this: it holds the check bar.
LEAST_MM = 200.0
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
class Tile:
    """One page at full size: its width and height [mm], and the SVG that fills it."""

    width: float
    height: float
    svg: str

    @property
    def size(self) -> str:
        """The name of its page's size in the style of the document."""
        return f"s{self.width:.0f}x{self.height:.0f}"


@dataclass(frozen=True, slots=True)
class PaperTemplate:
    heading: Heading
    title: str
    tiles: tuple[Tile, ...]

    @property
    def sizes(self) -> tuple[Tile, ...]:
        """One tile of each size."""
        return tuple({tile.size: tile for tile in self.tiles}.values())


@dataclass(frozen=True, slots=True)
class _Ground:
    """What one template shows, cut into `rows` by `columns` pages of `page` [mm]; (x0, y0) is the wall point at the
    upper left of the first."""

    pieces: tuple[JobPiece, ...]
    said: str
    page: tuple[float, float]
    columns: int
    rows: int
    x0: float
    y0: float

    @property
    def face(self) -> tuple[float, float]:
        """What of a page is printed [mm]."""
        return self.page[0] - 2 * EDGE_MM, self.page[1] - 2 * EDGE_MM


def paper_template(piece: JobPiece, units: Units, paper: str, heading: Heading) -> PaperTemplate:
    """The template of a piece that has hook points, on pages of a paper or on a roll."""
    xs = [piece.rect.centre_x, *(hook.fastened.point.left for hook in piece.points)]
    ys = [piece.rect.top, *(y for hook in piece.points for y in (hook.fastened.point.height, _nail(hook)))]
    said = f"piece {piece.number}, {piece.work.title}"
    ground = _ground((piece,), said, xs, ys, paper)
    return PaperTemplate(heading, said, _tiles(ground, units, heading))


def wall_template(pieces: Sequence[JobPiece], units: Units, paper: str, heading: Heading) -> PaperTemplate:
    """The templates of all that hangs on a wall, one for each group: every outline, number, hook and nail."""
    tiles: list[Tile] = []
    for together in groups_of(pieces):
        rects = [piece.rect for piece in together]
        hooks = [hook for piece in together for hook in piece.points]
        xs = [x for rect in rects for x in (rect.left, rect.right)] + [hook.fastened.point.left for hook in hooks]
        ys = [y for rect in rects for y in (rect.bottom, rect.top)]
        ys += [y for hook in hooks for y in (hook.fastened.point.height, _nail(hook))]
        said = f"piece{'s' if len(together) > 1 else ''} {numbers_of(together)} of the {together[0].wall.name}"
        tiles += _tiles(_ground(tuple(together), said, xs, ys, paper), units, heading)
    first = pieces[0]
    return PaperTemplate(heading, f"{first.room.name}, {first.wall.name}", tuple(tiles))


def _ground(pieces: tuple[JobPiece, ...], said: str, xs: Sequence[float], ys: Sequence[float], paper: str) -> _Ground:
    """Where the pages lie for marks at these places; a roll is cut as long and as wide as they need."""
    if paper in ROLL:
        needs = (max(xs) - min(xs), max(ys) - min(ys))
        most = ROLL[paper]
        page = (
            min(most[0], max(needs[0] + 2 * (ROUND_MM + EDGE_MM), LEAST_MM)),
            min(most[1], max(needs[1] + 2 * (ROUND_MM + EDGE_MM), LEAST_MM)),
        )
    else:
        page = PAPERS[paper]
    columns, x0 = _laid(xs, page[0] - 2 * EDGE_MM)
    rows, below = _laid([-y for y in ys], page[1] - 2 * EDGE_MM)
    return _Ground(pieces, said, page, columns, rows, x0, -below)


def _tiles(ground: _Ground, units: Units, heading: Heading) -> tuple[Tile, ...]:
    return tuple(
        Tile(*ground.page, _tile(ground, units, heading, row, column))
        for row in range(ground.rows)
        for column in range(ground.columns)
    )


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


def _tile(ground: _Ground, units: Units, heading: Heading, row: int, column: int) -> str:
    """One page in millimetres."""
    (width, height), (wide, high) = ground.page, ground.face
    x0, y0 = ground.x0 + column * (wide - OVERLAP_MM), ground.y0 - row * (high - OVERLAP_MM)
    name, key = tile_name(row, column), f"tile-{ground.pieces[0].number}-{row}-{column}"
    said = f"Tile {name}; {ground.columns} across, {ground.rows} down. {capital(ground.said)}. "
    said += f"{heading.project}, revision {heading.revision} ({heading.short_hash})"
    if len(ground.pieces) > 1:
        drawn = "".join(_outline(piece, units, x0, y0) + _hooks(piece, units, x0, y0, None) for piece in ground.pieces)
    else:
        drawn = _marks(ground.pieces[0], units, x0, y0, wide) + _hooks(ground.pieces[0], units, x0, y0, wide)
    parts = (
        titled(f"Tile {name} of the full-size template of {ground.said}"),
        group("crops", _crops(wide, high), stroke=INK, stroke_width=0.25),
        tag("clipPath", {"id": key}, boxed(Box(0, 0, wide, high))),
        tag("g", {"clip-path": f"url(#{key})"}, group("marks", drawn, stroke=INK, stroke_width=0.35)),
        _strips((row, column), (ground.rows, ground.columns), wide, high),
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
    """A piece's top edge and its middle, seen from the tile's upper left corner."""
    left, top, middle = piece.rect.left - x0, y0 - piece.rect.top, piece.rect.centre_x - x0
    along, up = units.length(piece.rect.centre_x), units.length(piece.rect.top)
    return (
        line(left, top, left + piece.rect.width, top, stroke_width=0.6)
        + line(middle, top - ROUND_MM, middle, top + 400, stroke_width=0.25, stroke_dasharray="4 2")
        + _beside(f"top edge of the piece: {up} from the floor", middle, top - 2, wide)
        + _beside(f"middle: {along} from the wall's left end", middle, top - 7, wide)
    )


def _outline(piece: JobPiece, units: Units, x0: float, y0: float) -> str:
    """A piece of a group: its outline, its number and where its upper left corner is."""
    rect = piece.rect
    left, top = rect.left - x0, y0 - rect.top
    edges = f"left edge {units.length(rect.left)}, top {units.length(rect.top)}"
    at, down = left + rect.width / 2, top + rect.height * 0.6
    return (
        boxed(Box(left, top, left + rect.width, top + rect.height), fill="none", stroke_width=0.6)
        + label(str(piece.number), at, down, NUMBER_MM, "middle", stroke="none", font_weight="600")
        + label(
            f"{piece.work.title}, {units.size(rect.width, rect.height)}", at, down + 8, TEXT_MM, "middle", stroke="none"
        )
        + label(edges, at, down + 13, TEXT_MM, "middle", stroke="none")
    )


def _hooks(piece: JobPiece, units: Units, x0: float, y0: float, wide: float | None) -> str:
    """A piece's hooks and their nails; lettering goes towards the middle of the tile, or of the piece where it has no
    width to go by."""
    drawn = []
    for hook in piece.points:
        x, y, nail = hook.fastened.point.left - x0, y0 - hook.fastened.point.height, y0 - _nail(hook)
        place = f"{units.length(hook.datum_mm)} from the left end, {units.length(hook.floor_mm)} from the floor"
        side = wide if wide is not None else 2 * (piece.rect.centre_x - x0)
        drawn += [
            line(x - 9, y, x + 9, y),
            line(x, y - 9, x, y + 9),
            tag("circle", {"cx": x, "cy": y, "r": 4, "fill": "none"}),
            _beside(f"hook {hook.label}: {RESTS[piece.hooks.kind]}", x, y + 7, side, off=6),
            _beside(place, x, y + 11.5, side, off=6),
        ]
        if nail != y:
            drawn += [
                tag("circle", {"cx": x, "cy": nail, "r": 1.2, "fill": INK}),
                _beside(f"its nail or screw: {hook.fastened.choice.name}", x, nail + 1, side, off=6),
            ]
    return "".join(drawn)


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
