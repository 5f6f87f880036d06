"""Puts the elevation together, back to front, and places strings, labels and flags where nothing is covered."""

from __future__ import annotations

import re

from placements.engine.house import Item
from placements.engine.names import capital
from placements.engine.results import PlainWords, Words

from .art import draw_piece, selection
from .dimensions import Sheet
from .finishes import draw_finish
from .flags import draw_flags
from .furniture import STANDING
from .given import DrawnPiece, Elevation
from .guides import draw_guides, draw_spaces
from .marks import draw_marks
from .pen import FONT, INK, PENCIL, SCREEN, SHEET, Box, Manner, View, box_of, group, label, line, n, tag, titled
from .room import draw_ground, draw_outline, draw_rail, face_path
from .strings import Strings, with_room_for_running

#: Kinds drawn in front of a piece that they overlap; everything else is part of the wall, behind it.
_FRONT_KINDS = frozenset(STANDING) | {"statement_light"}


def draw_elevation(
    given: Elevation,
    *,
    manner: Manner = SCREEN,
    words: Words | None = None,
    width: float | None = None,
    height: float | None = None,
    scale: float | None = None,
    unit: str = "",
    interactive: bool = False,
) -> str:
    """The elevation as one `<svg>` element.

    Args:
        given: the wall and what hangs on it.
        manner: how much is drawn and how heavy.
        words: sets lengths in the reader's units.
        width, height: the room there is, in drawing units; the scale is the largest that fits both.
        scale: drawing units a millimetre instead (paper at a stated scale: 1/24).
        unit: of the root's width and height, "mm" on paper.
        interactive: pieces can be focused and moved, so the root is a group of them rather than one picture.
    """
    return _Drawing(given, manner, words or PlainWords(), width, height, scale).svg(unit, interactive)


def fitting_scale(length: float, height: float, manner: Manner, width: float | None, high: float | None) -> float:
    """The largest scale at which a wall of these sizes and its margins fit the room there is."""
    across = ((width or 960.0) - manner.left - manner.right) / length
    if high is None:
        return across
    return min(across, (high - manner.top - manner.bottom) / height)


class _Drawing:
    def __init__(
        self,
        given: Elevation,
        manner: Manner,
        words: Words,
        width: float | None,
        height: float | None,
        scale: float | None,
    ) -> None:
        self.given, self.manner, self.words = given, manner, words
        wall = given.wall
        self.manner = manner = with_room_for_running(given, manner)
        s = scale or fitting_scale(wall.length, wall.height, manner, width, height)
        self.wide = wall.length * s + manner.left + manner.right
        self.high = wall.height * s + manner.top + manner.bottom
        self.view = View(s, manner.left, manner.top + wall.height * s)
        self.uid = "e-" + re.sub(r"[^A-Za-z0-9_-]", "-", f"{wall.id}-{manner.name}")
        self.items = [self.view.box(item.rect) for item in wall.items if item.acts not in ("panel", "line")]
        self.hung = [self.view.box(piece.rect) for piece in given.pieces]
        self.sheet = Sheet([*self.items, *self.hung])
        self.pencilled = given.inked is not None
        self.discs: dict[str, Box] = {}
        #: Where a number has no place beside its piece, numbers stand in empty outlines.
        self.crowded = False

    def svg(self, unit: str, interactive: bool) -> str:
        v, wall = self.view, self.given.wall
        return tag(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "class": f"elevation {self.manner.name}",
                "id": self.uid,
                "viewBox": f"0 0 {n(self.wide)} {n(self.high)}",
                "width": n(self.wide) + unit,
                "height": n(self.high) + unit,
                "role": "group" if interactive else "img",
                "aria-labelledby": f"{self.uid}-t {self.uid}-d",
                "data-scale": f"{v.scale:.6f}",
                "data-origin-x": v.origin_x,
                "data-origin-y": v.origin_y,
                "data-length": wall.length,
                "data-height": wall.height,
                "font-family": FONT if self.manner.lettering else None,
                "stroke-linejoin": "round",
            },
            self._head() + self._body(interactive),
        )

    def _head(self) -> str:
        given, words = self.given, self.words
        wall = given.wall
        said = given.described or self._said()
        title = given.title or f"{wall.name}, elevation"
        unitless = given.described and isinstance(words, PlainWords)  # nobody's units: a caller's words say enough
        description = said if unitless else f"{words.size(wall.length, wall.height)}. {said}".strip()
        return titled(title, f"{self.uid}-t") + titled(description, f"{self.uid}-d", "desc")

    def _said(self) -> str:
        items = ", ".join(item.name for item in self.given.wall.items) or "nothing"
        pieces = "; ".join(f"{p.title}: {self._position(p)}" for p in self.given.pieces) or "nothing"
        return f"On and against the wall: {items}. Hanging: {pieces}."

    def _position(self, piece: DrawnPiece) -> str:
        r = piece.rect
        return piece.described or (
            f"{self.words.size(r.width, r.height)}, left edge {self.words.length(r.left)} from the left end, "
            f"bottom edge {self.words.length(r.bottom)} above the floor"
        )

    def _body(self, interactive: bool) -> str:
        given, manner = self.given, self.manner
        behind = [item for item in given.wall.items if item.kind not in _FRONT_KINDS]
        before = [item for item in given.wall.items if item.kind in _FRONT_KINDS]
        # Strings, labels and flags are placed in this order: the first has the first choice of place.
        strings = (
            Strings(given, manner, self.words, self.view, self.sheet, [*self.items, *self.hung]).drawn()
            if manner.strings
            else ""
        )
        self.discs = self._discs([piece for piece in given.pieces if piece.number])
        numbers = list(self.discs.values())
        marks = draw_marks(given.marks, self.hung, numbers, self.view, manner, self.sheet)
        flags = draw_flags(given.flags, self.view, manner, self.sheet) if manner.lettering else ""
        guides = draw_guides(given.guides, given.wall, self.view, manner, self.sheet)
        spaces = draw_spaces(given.spaces, self.view, manner, self.sheet)
        return "".join(
            (
                draw_ground(given.wall, self.view, manner, given.under),
                self._under_the_ceiling(draw_finish(given.wall, self.view, manner)),
                self._knee(),
                self._studs(),
                guides,
                self._items(behind, "behind"),
                draw_rail(given.wall, self.view, manner, self._ink()),
                spaces,
                group("pieces", "".join(self._piece(p, interactive) for p in given.pieces), **self._ink()),
                self._items(before, "before"),
                marks,
                strings,
                flags,
            )
        )

    def _under_the_ceiling(self, drawn: str) -> str:
        """What is drawn over the whole wall, cut off at a ceiling that is not level."""
        if not (self.given.wall.ceiling and drawn):
            return drawn
        key = f"{self.uid}-face"
        clip = tag("clipPath", {"id": key}, tag("path", {"d": face_path(self.given.wall, self.view)}))
        return clip + group("cut", drawn, clip_path=f"url(#{key})")

    def _knee(self) -> str:
        """The height of a knee wall, written above its low end, where no art is."""
        wall, m = self.given.wall, self.manner
        if wall.knee is None or not m.lettering:
            return ""
        at_left = wall.ceiling[0][1] == wall.knee
        x = self.view.x(0) + m.text * 1.2 if at_left else self.view.x(wall.length) - m.text * 0.4
        y = self.view.y(wall.knee) - m.text * 1.8
        text = f"knee wall {self.words.length(wall.knee)}"
        return group("knee", label(text, x, y, m.text, upright=False), fill=PENCIL, stroke="none")

    def _studs(self) -> str:
        """A fine dotted line at each stud, behind all that stands and hangs."""
        v, f = self.view, self.manner.fine
        top, low = v.y(self.given.wall.height), v.y(0)
        lines = "".join(line(v.x(x), top, v.x(x), low) for x in self.given.studs)
        return group("studs", lines, stroke=PENCIL, stroke_width=f, stroke_dasharray=f"{n(f)} {n(f * 6)}")

    def _ink(self, pencil: bool | None = None) -> dict[str, object]:
        pencil = self.pencilled if pencil is None else pencil
        return {
            "stroke": PENCIL if pencil else INK,
            "stroke_width": self.manner.fine if pencil else self.manner.outline,
            "fill": SHEET,
        }

    def _items(self, items: list[Item], css: str) -> str:
        return group(f"items {css}", "".join(self._item(item) for item in items), **self._ink())

    def _item(self, item: Item) -> str:
        title = f"{capital(item.name)}, {self.words.size(item.width, item.height)}"
        inner = titled(title) if self.manner.lettering else ""
        css = f"item {item.kind}" + (" chosen" if item.id == self.given.selected_item else "")
        named = {"data-id": item.id, "data-box": box_of(item.rect)} if self.manner.lettering else {}
        return tag("g", {"class": css, **named}, inner + draw_outline(item, self.view, self.manner))

    def _piece(self, piece: DrawnPiece, interactive: bool) -> str:
        given, m = self.given, self.manner
        inked = given.inked is None or piece.id in given.inked
        chosen = piece.id == given.selected
        key = f"{self.uid}-p-{re.sub(r'[^A-Za-z0-9_-]', '-', piece.id)}"
        said = titled(piece.title, f"{key}-t") + titled(self._position(piece), f"{key}-d", "desc")
        r = piece.rect
        drawn = draw_piece(piece, self.view, m, picture=inked and not self.crowded)
        if chosen and m.lettering:
            drawn += selection(r, self.view, m)
        if piece.number and m.lettering:
            drawn += self._number(piece)
        attributes: dict[str, object] = {
            "class": "piece" + (" selected" if chosen else "") + (" locked" if piece.locked else ""),
            "id": key,
            "data-id": piece.id,
            "data-left": r.left,
            "data-bottom": r.bottom,
            "data-width": r.width,
            "data-height": r.height,
            "stroke": INK if inked else PENCIL,
            "stroke-width": m.outline if inked else m.fine,
        }
        if m.lettering:
            attributes |= {
                "role": "button" if interactive else "img",
                "aria-labelledby": f"{key}-t",
                "aria-describedby": f"{key}-d",
            }
        if interactive:
            attributes |= {"tabindex": 0, "aria-pressed": "true" if chosen else "false"}
        return tag("g", attributes, (said if m.lettering else "") + drawn)

    def _discs(self, pieces: list[DrawnPiece]) -> dict[str, Box]:
        """Where the disc of each piece's number lies: at its lower left corner, or beside it as the manner wants."""
        r = self.manner.text * 0.78
        if not self.manner.tags_outside:
            boxes = {piece.id: self.view.box(piece.rect) for piece in pieces}
            return {key: _square(b.x0 + r * 1.28, b.y1 - r * 1.28, r) for key, b in boxes.items()}
        taken, found = len(self.sheet.taken), {}
        for piece in pieces:
            if (box := self._beside(self.view.box(piece.rect), r)) is None:
                del self.sheet.taken[taken:]
                self.crowded = True
                middles = {one.id: self.view.box(one.rect) for one in pieces}
                return {key: _square((b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2, r) for key, b in middles.items()}
            self.sheet.take(box)
            found[piece.id] = box
        return found

    def _beside(self, b: Box, r: float) -> Box | None:
        """The first free place for a disc round a piece: under it, then at its sides."""
        off, x, low, high = r * 1.2, (b.x0 + b.x1) / 2, b.y1 - r, b.y0 + r
        under = ((b.x0 + r, b.y1 + off), (x, b.y1 + off), (b.x1 - r, b.y1 + off))
        sides = ((b.x0 - off, low), (b.x1 + off, low), (b.x0 - off, high), (b.x1 + off, high))
        boxes = (_square(*at, r) for at in (*under, *sides))
        inside = (box for box in boxes if box.x0 > self.view.x(0) and box.y1 < self.view.y(0))
        return next((box for box in inside if self.sheet.is_free(box)), None)

    def _number(self, piece: DrawnPiece) -> str:
        """The piece's number in a small disc."""
        m, b = self.manner, self.discs[piece.id]
        size = m.text * 0.95
        x, y = (b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2
        return group(
            "number",
            tag("circle", {"cx": x, "cy": y, "r": (b.x1 - b.x0) / 2})
            + label(piece.number, x, y + size * 0.36, size, "middle", stroke="none", fill=INK, font_weight="600"),
            fill=SHEET,
            stroke=INK,
            stroke_width=m.outline,
        )


def _square(x: float, y: float, r: float) -> Box:
    return Box(x - r, y - r, x + r, y + r)
